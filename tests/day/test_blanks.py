"""Blanks in a bar: cases worked by hand, and whatever the shape, never nearer than the kerf nor out of the bar."""

from __future__ import annotations

from math import floor, hypot
from random import Random

import numpy as np
import pytest
import shapely

from preview.day.blanks import Lay, cut_up, nest
from preview.job.file import load_job
from tests.conftest import DEMOS

LONG, HIGH, KERF = 200.0, 50.0, 1.5
TRIANGLE = np.array([[0.0, 0.0], [LONG, 0.0], [0.0, HIGH]])
NEEDED = LONG + KERF * hypot(LONG, HIGH) / HIGH
"""Two right triangles, their long sides a kerf apart, the second turned round: shifted along the bar until the distance
of the parallel lines is the kerf, which is the shift times HIGH over the long side."""


def test_two_triangles_out_of_one_rectangle():
    assert len(nest(TRIANGLE, (NEEDED + 0.1, HIGH), KERF, 4)) == 2
    assert len(nest(TRIANGLE, (NEEDED - 0.1, HIGH), KERF, 4)) == 1
    first, second = nest(TRIANGLE, (NEEDED + 0.1, HIGH), KERF, 4)
    assert (first.end_for_end, first.edge_for_spine) != (second.end_for_end, second.edge_for_spine)
    assert {first.end_for_end == second.end_for_end, first.edge_for_spine == second.edge_for_spine} == {False}


def test_what_is_left_of_two_triangles():
    """By hand: the rectangle less both triangles is the kerf between them and the slivers at both ends of it."""
    room = (NEEDED, HIGH)
    lays = (Lay(False, False, 0.0, 0.0), Lay(True, True, NEEDED, HIGH))
    found = cut_up(TRIANGLE, lays, room, KERF)
    assert found.blank_area == pytest.approx(LONG * HIGH / 2)
    assert found.sawn_area + found.left_area == pytest.approx(NEEDED * HIGH - LONG * HIGH)
    assert found.left_area < 1
    assert found.end_piece == 0


@pytest.mark.parametrize("room", [(100.0, 20.0), (123.0, 20.0), (124.5, 20.0), (126.0, 41.9), (126.0, 42.0)])
def test_rectangles(room):
    """As many as go in rows: 40 by 20 mm, 2 mm apart."""
    rows, columns = floor((room[1] + 2) / 22), floor((room[0] + 2) / 42)
    found = nest(np.array([[0.0, 0.0], [40, 0], [40, 20], [0, 20]]), room, 2.0, 12)
    assert len(found) == rows * columns


def test_end_piece():
    found = cut_up(
        np.array([[0.0, 0], [40, 0], [40, 20], [0, 20]]), (Lay(False, False, 10.0, 0.0),), (100.0, 20.0), 2.0
    )
    assert found.end_piece == pytest.approx(100 - 50 - 2)
    assert found.sawn_area == pytest.approx(2 * 2 * 20)
    assert found.left_area == pytest.approx((8 + 48) * 20)


@pytest.mark.parametrize("seed", range(8))
def test_never_nearer_than_the_kerf(seed):
    """Any shape: a ragged star of many corners."""
    dice = Random(seed)
    turns = np.sort([dice.uniform(0, 2 * np.pi) for _ in range(dice.randint(3, 60))])
    radii = np.array([dice.uniform(4, 30) for _ in turns])
    shape = shapely.make_valid(shapely.Polygon(np.stack([3 * radii * np.cos(turns), radii * np.sin(turns)], axis=1)))
    shape = max(getattr(shape, "geoms", [shape]), key=lambda each: each.area)
    profile, kerf = shapely.get_coordinates(shape.exterior)[:-1], dice.uniform(0.2, 4)
    room = (dice.uniform(150, 500), dice.uniform(40, 120))
    lays = nest(profile, room, kerf, 6)
    blanks = [shapely.Polygon(lay.placed(profile)) for lay in lays]
    bar = shapely.buffer(shapely.box(0, 0, *room), 1e-3, join_style="mitre")
    for number, blank in enumerate(blanks):
        assert bar.covers(blank)
        assert all(blank.distance(other) >= kerf - 1e-3 for other in blanks[:number])


def test_the_works_own_stays_where_it_is():
    job = load_job(DEMOS / "wrung_out.toml")
    profile, bar = job.blade.outline.profile, job.history.bar
    own = Lay(False, False, 110.0, 3.0)
    lays = nest(profile, (2 * bar.length, bar.width), 1.5, 4, own)
    assert lays[0] == own
    assert len(lays) > 1
    whole = [shapely.Polygon(lay.placed(profile)) for lay in lays]
    assert all(whole[0].distance(other) >= 1.5 for other in whole[1:])
