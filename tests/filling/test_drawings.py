"""Drawings of dividers, 1:1, read back by readers of our own."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
import zipfile

import ezdxf
import numpy as np
import pytest

from preview.filling.dividers import Printing, dividers
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.part_numbers import TALLEST
from preview.filling.regions import read_regions
from preview.filling.solids import mf3_bytes, solids
from tests.support.laid import ROOM, box, raster


def test_drawings_are_exact_in_size(tmp_path):
    found = dividers(raster(tmp_path, lambda on: on.rectangle(box(-20, -10, 10, 15), fill=255)), ROOM, 30.0, Printing())
    picture = ET.fromstring(svg_text(found))
    assert (picture.get("width"), picture.get("height")) == ("60mm", "40mm")
    assert picture.get("viewBox") == "0 0 60 40"
    path = next(each for each in picture.iter() if each.get("id") == "part-1").get("d")
    numbers = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", path), dtype=float)
    left, top, right, low = 30 - 20 - 0.2, 20 - 15 - 0.2, 30 + 10 + 0.2, 20 + 10 + 0.2
    assert (*numbers.min(axis=0), *numbers.max(axis=0)) == pytest.approx((left, top, right, low), abs=0.06)

    text = dxf_bytes(found).decode()
    pairs = list(zip(*[iter(line.strip() for line in text.splitlines())] * 2, strict=False))
    place = pairs.index(("9", "$INSUNITS"))
    assert pairs[place + 1] == ("70", "4")  # millimetres, in the DXF reference
    document = ezdxf.read(io.StringIO(text))
    assert not document.audit().has_errors
    can = next(e for e in document.modelspace() if e.dxf.layer == "CAN")
    assert np.ptp([p[0] for p in can.get_points()]) == 60.0
    walls = np.array([p[:2] for e in document.modelspace() if e.dxf.layer == "WALLS" for p in e.get_points()])
    assert (*walls.min(axis=0), *walls.max(axis=0)) == pytest.approx((-20.2, -10.2, 10.2, 15.2), abs=0.06)


def test_numbers_are_text_or_outlines_and_neither_parts_the_can(tmp_path):
    found = dividers(raster(tmp_path, lambda on: on.rectangle(box(-20, -10, 10, 15), fill=255)), ROOM, 30.0, Printing())
    written = {outlined: svg_text(found, outlined=outlined) for outlined in (False, True)}
    (place,) = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" font-size="1.5">1</text>', written[False])
    assert "<text" not in written[True]
    (drawn,) = re.findall(r'class="number" d="([^"]+)"', written[True])
    right, down = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", drawn), dtype=float).T
    # an upright 1 stands on the line; digits are 0.729 of a letter's size high (DejaVu Sans, its own measures)
    assert down.max() == pytest.approx(float(place[1]), abs=0.01)
    assert np.ptp(down) == pytest.approx(0.729 * TALLEST, rel=0.02)
    assert 0 < right.min() - float(place[0]) < 0.3
    for text in written.values():
        (tmp_path / "d.svg").write_text(text)
        assert len(read_regions(tmp_path / "d.svg", ROOM).polygons) == 2


def test_the_same_dividers_are_the_same_bytes(tmp_path):
    """The files hold neither the day nor chance."""
    found = dividers(raster(tmp_path, lambda on: on.rectangle(box(-20, -10, 10, 15), fill=255)), ROOM, 30.0, Printing())
    assert dxf_bytes(found) == dxf_bytes(found)
    assert mf3_bytes(solids(found), found.bed) == mf3_bytes(solids(found), found.bed)
    with zipfile.ZipFile(io.BytesIO(mf3_bytes(solids(found), found.bed))) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(2000, 1, 1, 0, 0, 0)}
