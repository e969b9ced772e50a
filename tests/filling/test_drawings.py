"""Drawings of dividers, 1:1, read back by readers of our own."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pytest

from preview.filling.dividers import Printing, dividers
from preview.filling.drawings import dxf_bytes, svg_text
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
