"""The can's plan: its weights against the budget, its drawing against hand-worked shapes, and what an insert leaves."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
import shapely
from scipy.optimize import isotonic_regression
from shapely.geometry import box

from preview.blade.grind import SIDES
from preview.filling.budget import weigh
from preview.filling.budget_words import budget_text
from preview.filling.can_drawing import draw_can, hatch
from preview.filling.can_numbers import _rising, box_round
from preview.filling.can_part import cut_to, small_rooms
from preview.filling.can_plan import can_plan, plan_lines, plan_turns
from preview.filling.insert import insert_of
from preview.filling.insert_preview import as_filled, insert_faces
from preview.filling.plan_svg import plan_svg
from preview.job.file import load_job
from preview.pattern.pattern import VOID
from preview.pattern.raster import Cells
from preview.pipeline import find_origins, laid_raster, trace
from tests.conftest import DEMOS

CAN = {"length": 80, "width": 30, "height": 40, "wall": 2, "fill_density": 0.6}
SMALL = {"thickness": 4, "outline": {"length": 60, "height": 25}}


@pytest.fixture(scope="module")
def job():
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="module")
def made(job):
    return insert_of(job)


@pytest.fixture(scope="module")
def drawn(job):
    return draw_can(job)


def test_rooms_weigh_together_what_the_budget_says(job, made):
    found, plan = weigh(job), can_plan(job, made)
    assert "the insert in one line, its bridges too" in budget_text(job, found)
    assert found.divider_share == pytest.approx(1 - sum(room.area for room in plan) / (95 * 24))
    for each in found.fills:
        own = [room for room in plan if room.powder == each.powder]
        assert sum(room.grams for room in own) == pytest.approx(each.grams)
        assert sum(room.area for room in own) == pytest.approx(each.area)
        # as they are written, within the rounding of each
        (turn,) = plan_turns(tuple(own))
        written = [float(grams.split()[0]) for _, grams in turn.rooms]
        assert sum(written) == pytest.approx(each.grams, abs=0.05 * len(own))


@pytest.mark.slow
def test_without_an_insert_walls_are_counted_and_it_is_said():
    job = load_job(DEMOS / "fine_rain.toml")
    assert "walls one bead wide" in budget_text(job, weigh(job))
    drawn = draw_can(job)
    assert drawn.insert is None
    assert "203 of 208 pieces" in str(drawn.said)
    assert "printing" not in str(drawn.said)  # no key of a command line on a sheet of paper
    assert drawn.troubles


def test_a_clearance_that_no_powder_passes_belongs_to_the_room_beside_it(make):
    """One wall across a can of 80 x 30: two rooms, 79.6 mm long together but for corners that a bead of 0.4 closes."""
    picture = np.zeros((60, 100), dtype=bool)
    picture[:, 75:] = True
    job = make(picture, can=CAN, blade=SMALL)
    made = insert_of(job)
    assert len(made.rooms) == 2
    assert 0.4 / 80 <= made.share < 0.4 / 80 + (2 * (80 + 30) * (0.4 + 0.15)) / (80 * 30)
    assert weigh(job).divider_share == pytest.approx(made.share)


@pytest.mark.parametrize("larger", [1.0, 1.5])
def test_every_number_is_legible(job, made, larger):
    drawn = draw_can(job, larger=larger)
    assert len(drawn.labels) == len(made.rooms)
    boxes = shapely.STRtree([label.box for label in drawn.labels])
    one, other = boxes.query(boxes.geometries, predicate="intersects")
    assert (one == other).all()  # none over another
    for number, label in enumerate(drawn.labels, start=1):
        assert label.text == str(number)
        room = made.rooms[number - 1]
        if label.leader is None:
            assert room.contains(label.box)
        else:
            assert room.contains(shapely.Point(label.leader.coords[-1]))
            assert not label.box.intersects(box(-30, -12, 30, 12))
            crossed = [each for each in drawn.labels if each.leader is None and each.box.intersects(label.leader)]
            assert not crossed


@pytest.mark.parametrize(
    "name",
    [
        "marsh_moon",
        "along_the_bar",
        *(
            pytest.param(name, marks=pytest.mark.slow)
            for name in ("running_wave", "end_grain", "three_steels", "plain_start", "wrung_out")
        ),
    ],
)
def test_numbers_and_their_leaders_keep_clear_of_each_other_and_of_the_blade(name):
    drawn = draw_can(load_job(DEMOS / f"{name}.toml"))
    part = small_rooms(drawn)
    for each in (drawn, cut_to(drawn, part, 0.5)):
        assert [label.text for label in each.labels] == [label.text for label in drawn.labels]
        blade = shapely.union_all(each.blade)
        for label in each.labels:
            assert not label.box.intersects(blade), label.text
            room, at = drawn.insert.rooms[int(label.text) - 1], shapely.Point(label.at)
            assert room.contains(shapely.Point(label.leader.coords[-1]) if label.leader else at)
        for one, other in combinations(each.labels, 2):
            shapes = [(label.box, label.leader) for label in (one, other)]
            for here, there in product(*shapes):
                assert here is None or there is None or not here.intersects(there), (one.text, other.text)
    assert shapely.union_all(cut_to(drawn, part, 0.5).walls).area == pytest.approx(
        shapely.union_all(drawn.walls).intersection(part).area
    )
    largest = max(drawn.insert.rooms, key=lambda room: room.area)
    assert all(part.buffer(1e-9).covers(room) for room in drawn.insert.rooms if room is not largest)


def test_two_figures_take_more_room_than_one():
    one, two = (box_round(text, (0, 0), 1.0) for text in ("2", "22"))
    assert two.area > 1.5 * one.area
    assert box_round("2", (0, 0), 2.0).area == pytest.approx(4 * one.area)


@pytest.mark.parametrize("angle", [0.0, 45.0, 135.0])
def test_a_hatch_fills_its_shape_evenly(angle):
    shape = box(0, 0, 30, 20).difference(box(10, 5, 20, 15))
    lines = hatch(shape, angle, 0.5)
    assert lines.length == pytest.approx(shape.area / 0.5, rel=0.03)
    assert shape.buffer(1e-6).contains(lines)
    assert hatch(shapely.Polygon(), angle).is_empty


def test_the_blade_lies_where_its_outline_came_from(job, drawn):
    """Carried on to the blade again, what is drawn of it lies on its outline."""
    rim = shapely.LinearRing(job.blade.outline.profile)
    for line in drawn.blade:
        places = np.array(line.coords)
        inside = (np.abs(places) < np.array([30, 12]) - 0.5).all(axis=1)
        points = np.column_stack([places[inside], np.zeros(inside.sum())])
        back = trace(job, points, reverse=True)
        back = back[~np.isnan(back).any(axis=1)]
        assert len(back) > 20
        # the middle of the can need not come out at the blade's mid-plane everywhere, but does in this one
        assert shapely.distance(rim, shapely.points(back[:, :2])).max() < 0.3


def test_dividers_along_the_blade_show_what_comes_out_on_its_faces():
    lines = draw_can(load_job(DEMOS / "end_grain.toml")).blade
    whole = shapely.union_all([shapely.Polygon(line) for line in lines if line.is_ring])
    assert 0 < whole.area < 36 * 60


def test_the_plan_as_a_drawing_at_true_size(job, made, drawn):
    plan = can_plan(job, made)
    text = plan_svg(drawn, plan_turns(plan), [job.title, "Filled to 0.600."])
    root = ET.fromstring(text)
    sizes = [float(root.get(name).removesuffix("mm")) for name in ("width", "height")]
    assert [float(each) for each in root.get("viewBox").split()] == [0, 0, *sizes]
    layers = {each.get("id"): each for each in root}
    assert {"layer-can", "layer-walls", "layer-bridges", "layer-hatch", "layer-blade", "layer-numbers"} <= set(layers)
    (can,) = layers["layer-can"]
    places = np.array([each.split() for each in can.get("d").removeprefix("M ").removesuffix(" Z").split(" L ")])
    assert np.ptp(places.astype(float), axis=0) == pytest.approx([95, 24])
    assert [each.text for each in layers["layer-numbers"]] == [str(k) for k in range(1, len(plan) + 1)]
    assert [each.text for each in layers["layer-words"]][:2] == [job.title, "Filled to 0.600."]
    assert any("95 x 24 mm, 46 mm deep" in each.text for each in layers["layer-words"])
    told = [each.text for each in layers["layer-table"]]
    assert told[0] == "1. nickel"
    assert len(told) == 2 * (len(plan) + 4)  # each powder has a head, and what it is tapped to
    heads = [each for each in layers["layer-table"] if each.get("font-weight")]
    assert [each.text for each in heads][::2] == ["1. nickel", "2. plain"]
    assert heads[0].get("y") == heads[2].get("y")  # each at the top of a column of its own


def test_a_weight_that_cannot_be_is_no_instruction(job, made):
    """By the rooms of a powder that would have to be tapped too dense stands no weight, and why."""
    dense = job.model_copy(update={"can": job.can.model_copy(update={"fill_density": 0.64})})
    lines = "\n".join(plan_lines(can_plan(dense, made)))
    assert not re.search(r"\d g[,)]", lines)
    assert "2. plain, no weight: room 1" in lines
    assert lines.count("would have to be tapped to") == 2


def test_each_room_holds_its_powder_however_coarse_the_pattern_and_all_else_is_void(make):
    picture = np.zeros((300, 800), dtype=bool)
    picture[80:220, 200:500] = True
    picture[140:145, 640:645] = True  # half a millimetre: no room for powder beside a bead of 0.4
    job = make(picture, can=CAN, blade=SMALL)
    made = insert_of(job)
    coarse = replace(laid_raster(job), cell=(0.4, 0.4), cells=Cells(laid_raster(job).classes, np.zeros((2, 75, 200))))
    laid = as_filled(coarse, made)
    assert laid.classes[-1] == VOID
    assert max(laid.cell) <= 0.1 + 1e-9
    assert laid.shares.sum(axis=0) == pytest.approx(1, abs=1e-5)
    areas = laid.shares.sum(axis=(1, 2)) * laid.cell[0] * laid.cell[1]
    for number in (0, 1):
        rooms = [room.area for room, held in zip(made.rooms, made.holds, strict=True) if held == number]
        assert areas[number] == pytest.approx(sum(rooms), rel=1e-3)
    assert made.unheld  # a piece with no room for powder is void, as is all that is too narrow beside the walls
    assert areas[2] == pytest.approx(made.share * 80 * 30, rel=1e-3)


def test_bridges_and_walls_show_as_voids_where_the_insert_has_them():
    """Each pixel carried back to the can: void in a bead, metal beside it, within a tenth of a millimetre."""
    job = load_job(DEMOS / "marsh_moon.toml")
    made = insert_of(job)
    faces, origins = insert_faces(job, made), find_origins(job)
    sure, free = made.beads.buffer(-0.1), shapely.union_all(made.rooms).buffer(-0.1)
    bridges = made.found.streaks.buffer(-0.1)
    for side, face in zip(SIDES, faces, strict=True):
        grid = face.grid
        along, across = np.broadcast_arrays(grid.along, grid.across)
        x, y, z, metal = origins.of_face(side, along, across)
        right, up = job.pattern.direction.seen(x, y, z)
        void = face.share_of((VOID,))
        whole = metal & (grid.coverage > 0.999)
        for shape, least, most in ((sure, 0.9, 1.0), (bridges, 0.9, 1.0), (free, 0.0, 0.1)):
            shapely.prepare(shape)
            here = whole & shapely.contains_xy(shape, right, up)
            assert here.any()
            assert least <= void[here].mean() <= most
            assert ((void[here] > 0.5) == (least > 0.5)).mean() > 0.98


@pytest.mark.parametrize("seed", range(5))
def test_numbers_in_a_row_are_pooled_as_scipy_pools(seed):
    values = np.random.default_rng(seed).standard_normal(3 + 5 * seed).round(1)
    np.testing.assert_allclose(_rising(values), isotonic_regression(values).x, atol=1e-12)
