"""Dividers: hand-worked shapes, and files read back by readers of our own."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from math import pi

import ezdxf
import numpy as np
import pytest
import trimesh
from PIL import Image, ImageDraw
from shapely import LineString, Point, hausdorff_distance
from skimage.measure import find_contours

from preview.base.errors import JobError
from preview.filling.dividers import Printing, dividers, trouble_lines
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.regions import read_regions, region_map
from preview.filling.shop_files import DIVIDER_FILES, make_printing, save_dividers
from preview.job.file import load_job
from preview.pattern.pattern import Pattern, read_raster
from preview.pattern.powders import NICKEL, PLAIN
from tests.conftest import DEMOS

ROOM = (60.0, 40.0)
PX = 20


def raster(tmp_path, draw, room=ROOM):
    sheet = Image.new("L", (round(room[0] * PX), round(room[1] * PX)))
    draw(ImageDraw.Draw(sheet))
    sheet.save(tmp_path / "p.png")
    return read_raster(tmp_path / "p.png", Pattern(picture="p.png"), (PLAIN, NICKEL), room)


def box(x0, y0, x1, y1):
    """Return pixels of a box given in mm from the can's middle, y up."""
    left, right = (round((x + ROOM[0] / 2) * PX) for x in (x0, x1))
    top, low = (round((ROOM[1] / 2 - y) * PX) for y in (y1, y0))
    return (left, top, right - 1, low - 1)


def test_a_ring_round_a_disc(tmp_path):
    found = dividers(raster(tmp_path, lambda on: on.ellipse(box(-12, -8, 4, 8), fill=255)), ROOM, 30.0, Printing())
    (part,) = found.parts
    assert part.area == pytest.approx(2 * pi * 8 * 0.4, rel=0.005)
    assert found.height == 30
    assert found.share == pytest.approx(part.area / 2400)
    assert hausdorff_distance(found.lines[0], Point(-4, 0).buffer(8, quad_segs=128).exterior) < 0.1
    assert [(trouble.kind, trouble.part) for trouble in found.troubles] == [("loose part", 1)]


def test_smoothing_keeps_within_its_tolerance_and_straightens_stairs(tmp_path):
    coarse = Image.new("L", (300, 200))
    ImageDraw.Draw(coarse).polygon([(30, 20), (270, 60), (250, 180)], fill=255)
    coarse.save(tmp_path / "p.png")
    read = read_raster(tmp_path / "p.png", Pattern(picture="p.png"), (PLAIN, NICKEL), ROOM)
    row, column = max(find_contours(read.shares[1].astype(float), 0.5), key=len).T
    drawn = LineString(np.stack([(column - 0.5) / 5 - 30, 20 - (row - 0.5) / 5], axis=1))
    straight = LineString([(30, 20), (270, 60), (250, 180), (30, 20)]).length / 5
    assert drawn.length > 1.05 * straight  # the picture's stairs
    for tolerance in (0.1, 0.3):
        line = max(dividers(read, ROOM, 30.0, Printing(tolerance=tolerance)).lines, key=lambda each: each.length)
        assert hausdorff_distance(line, drawn, densify=0.01) <= tolerance
    assert line.length == pytest.approx(straight, rel=0.02)


def test_troubles_are_named_where_they_are(tmp_path):
    def draw(on):
        on.rectangle(box(-30, -20, -10, 20), fill=255)  # meets the can's sides
        on.rectangle(box(0, -10, 10, 10), fill=255)
        on.rectangle(box(10.6, -10, 20, 10), fill=255)  # 0.6 mm beside the other: 0.2 mm between the walls
        on.rectangle(box(25, -5, 25.7, 5), fill=255)  # a sliver

    found = dividers(raster(tmp_path, draw), ROOM, 30.0, Printing())
    at = {kind: [t.at for t in found.troubles if t.kind == kind] for kind in {t.kind for t in found.troubles}}
    assert len(at["narrow gap"]) == 2
    assert sorted(round(x) for x, _ in at["narrow gap"]) == [10, 25]
    assert len(at["thin piece"]) == 1
    assert at["thin piece"][0][0] == pytest.approx(25.35, abs=0.2)
    assert at["meets the can"][0][0] == pytest.approx(-10, abs=0.3)
    words = trouble_lines(found)
    assert any("narrower than the bead" in line and "(2)" in line for line in words)
    assert any("ends at" in line or "end at the can's side" in line for line in words)


def test_parts_that_do_not_fit_the_printer_are_refused_with_the_overrun(tmp_path):
    read = raster(tmp_path, lambda on: on.rectangle(box(-25, -10, 25, 10), fill=255))
    with pytest.raises(JobError, match=r"part 1 is 10\.4 mm too long"):
        dividers(read, ROOM, 30.0, Printing(bed=(40.0, 30.0, 100.0)))
    dividers(read, ROOM, 30.0, Printing(bed=(30.0, 51.0, 100.0)))  # turned round it fits
    with pytest.raises(JobError, match=r"walls are 5\.0 mm too tall"):
        dividers(read, ROOM, 30.0, Printing(bed=(100.0, 100.0, 25.0)))
    with pytest.raises(JobError, match=r"printing\.height: .*30 mm deep; given 31"):
        dividers(read, ROOM, 30.0, Printing(height=31))
    with pytest.raises(JobError, match=r"printing\.bead"):
        make_printing({"bead": 0})
    with pytest.raises(JobError, match="all one powder"):
        dividers(raster(tmp_path, lambda _: None), ROOM, 30.0, Printing())


@pytest.mark.parametrize("kind", ["stl", "3mf", "svg", "dxf"])
@pytest.mark.parametrize("name", ["marsh_moon", "three_steels", "along_the_bar"])
def test_files_give_the_pattern_back_within_a_bead(name, kind, tmp_path):
    """The section of what is printed, filled again, is the pattern but for a bead's width at its lines."""
    from scipy.ndimage import distance_transform_edt

    job = load_job(DEMOS / f"{name}.toml")
    (tmp_path / "out").mkdir()
    save_dividers(job, tmp_path / "out")
    regions = read_regions(tmp_path / "out" / f"dividers.{kind}", job.pattern_area)
    labels = region_map(regions, 24.0)
    laid = read_raster(job.picture_path, job.pattern, job.powders, job.pattern_area)
    rows = np.linspace(1, laid.shares.shape[1] - 2, labels.shape[0]).round().astype(int)
    columns = np.linspace(1, laid.shares.shape[2] - 2, labels.shape[1]).round().astype(int)
    powder = laid.shares.argmax(axis=0)[rows][:, columns]
    depth = np.zeros(powder.shape)
    for index in range(len(laid.shares)):
        depth = np.maximum(depth, distance_transform_edt(powder == index) / 24)
    inner = depth > 0.4
    for label in range(len(regions.polygons)):
        held = powder[inner & (labels == label)]
        assert held.size == 0 or (held == held[0]).all(), label


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


def test_saved_whole_or_not_at_all(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    (tmp_path / "dividers.dxf").write_text("mine")
    from preview.base.errors import FileError

    with pytest.raises(FileError, match=r"dividers\.dxf: exists already"):
        save_dividers(job, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["dividers.dxf"]
    assert {path.name for path in save_dividers(job, tmp_path, force=True)} == set(DIVIDER_FILES)
    assert trimesh.load(tmp_path / "dividers.stl").is_watertight
    assert "Vent the can" in (tmp_path / "dividers.txt").read_text()
