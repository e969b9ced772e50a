"""Dividers: hand-worked shapes, and files read back by readers of our own."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw
from scipy.ndimage import distance_transform_edt
from shapely import LineString, Point, hausdorff_distance
from shapely.geometry import box as rectangle
from skimage.measure import find_contours

from preview.base.errors import JobError, RequestError
from preview.base.files import write_into
from preview.base.units import Units
from preview.filling.dividers import Printing, Trouble, dividers
from preview.filling.printing import dividers_of, printable_files
from preview.filling.regions import read_regions
from preview.filling.solids import solids
from preview.filling.walls import polygons_of
from preview.job.faults import make_settings
from preview.job.file import load_job
from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN
from preview.pattern.raster import read_raster
from tests.conftest import DEMOS
from tests.support.laid import ROOM, box, raster
from tests.support.slicing import needs_slicer, sliced


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
    words = found.trouble_lines()
    assert any("narrower than the bead" in line and "(2)" in line for line in words)
    assert any("ends at" in line or "end at the can's side" in line for line in words)


def test_parts_that_do_not_fit_the_printer_are_refused_with_the_overrun(tmp_path):
    read = raster(tmp_path, lambda on: on.rectangle(box(-25, -10, 25, 10), fill=255))
    with pytest.raises(RequestError, match=r"part 1 is 10\.4 mm too long"):
        dividers(read, ROOM, 30.0, Printing(bed=(40.0, 30.0, 100.0)))
    dividers(read, ROOM, 30.0, Printing(bed=(30.0, 51.0, 100.0)))  # turned round it fits
    with pytest.raises(RequestError, match=r"a bed of 100 x 100 x 25 mm .* walls are 5\.0 mm too tall") as caught:
        dividers(read, ROOM, 30.0, Printing(bed=(100.0, 100.0, 25.0)))
    assert caught.value.told(Units(sizes="inch")).endswith(
        "3.937 x 3.937 x 0.984 in is too small: the walls are 0.197 in too tall"
    )
    with pytest.raises(RequestError, match=r"printing\.height: .*30 mm deep; given 31"):
        dividers(read, ROOM, 30.0, Printing(height=31))
    with pytest.raises(RequestError, match=r"printing\.bead"):
        make_settings(Printing, {"bead": 0}, "printing")
    with pytest.raises(JobError, match="all one powder"):
        dividers(raster(tmp_path, lambda _: None), ROOM, 30.0, Printing())


@pytest.fixture(scope="module", params=["marsh_moon", "three_steels", "along_the_bar"])
def saved(request, tmp_path_factory):
    """A job, where its dividers' files are, and what powder lies in the can and how deep in it (mm), 24 px/mm."""
    job = load_job(DEMOS / f"{request.param}.toml")
    out = tmp_path_factory.mktemp("out")
    write_into(out, printable_files(dividers_of(job)))
    laid = read_raster(job.picture_path, job.pattern, job.powders, job.pattern_area)
    width, height = (round(24 * side) for side in job.pattern_area)
    rows = np.linspace(1, laid.shares.shape[1] - 2, height).round().astype(int)
    columns = np.linspace(1, laid.shares.shape[2] - 2, width).round().astype(int)
    powder = laid.shares.argmax(axis=0)[rows][:, columns]
    depth = np.zeros(powder.shape)
    for index in range(len(laid.shares)):
        depth = np.maximum(depth, distance_transform_edt(powder == index) / 24)
    return job, out, powder, depth


@pytest.mark.parametrize("kind", ["stl", "3mf", "svg", "dxf"])
def test_files_give_the_pattern_back_within_a_bead(saved, kind):
    """The section of what is printed, filled again, is the pattern but for a bead's width at its lines."""
    job, out, powder, depth = saved
    regions = read_regions(out / f"dividers.{kind}", job.pattern_area)
    labels = regions._map(24.0)
    assert labels.shape == powder.shape
    held = [powder[(depth > 0.4) & (labels == label)] for label in range(len(regions.polygons))]
    held = [each for each in held if each.size]
    assert {each[0] for each in held} == set(range(len(job.powders)))
    for each in held:
        assert (each == each[0]).all()


def test_many_troubles_are_counted_and_the_first_six_placed(tmp_path):
    found = dividers(raster(tmp_path, lambda on: on.ellipse(box(-12, -8, 4, 8), fill=255)), ROOM, 30.0, Printing())
    many = tuple(Trouble("narrow gap", (float(place), 0.0)) for place in range(8))
    (line,) = replace(found, troubles=many).trouble_lines()
    assert "(8)" in line
    assert "+5.0, +0.0; 2 more" in line
    assert "+6.0" not in line


def rooms_beside(walls, room):
    free = rectangle(-room[0] / 2, -room[1] / 2, room[0] / 2, room[1] / 2).difference(walls)
    return [each for each in polygons_of(free) if each.area > 0.05]


def test_where_three_powders_meet_no_wall_leaks():
    job = load_job(DEMOS / "three_steels.toml")
    found = dividers_of(job)
    assert len(rooms_beside(shapely.union_all(list(found.parts)), job.pattern_area)) == 10  # counted in the picture


@needs_slicer
@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    ["running_wave", "end_grain", "three_steels", "marsh_moon", "along_the_bar", "wrung_out", "plain_start"],
)
def test_sliced_in_the_ordinary_way_walls_close_every_room(tmp_path, name):
    """All demos but the one whose pieces are finer than a bead; with the settings that the text tells."""
    job = load_job(DEMOS / f"{name}.toml")
    found = dividers_of(job, Printing(height=1.0))
    made = sliced(tmp_path / "d.stl", solids(found), found.bead, 0.2, spiral=False)
    laid = made.beads(0.5, 0.7, found.bead)
    walls = shapely.union_all(list(found.parts))
    assert laid.area == pytest.approx(walls.area, rel=0.05)
    assert made.volume == pytest.approx(found.plastic / 1.24 * 1000, rel=0.05)
    drawn = rooms_beside(walls, job.pattern_area)
    # walls end at the can's side but for the half of a bead that a printer rounds off
    ends = walls.intersection(walls.envelope.exterior).buffer(found.bead)
    left = rooms_beside(laid.union(ends), job.pattern_area)
    for room in drawn:
        assert any(each.contains(room.representative_point()) for each in left)
    for each in left:
        assert sum(each.intersection(room).area > 0.3 * room.area for room in drawn) <= 1
