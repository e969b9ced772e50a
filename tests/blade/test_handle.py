"""What is drawn behind the heel, by shapely: a handle lies on a full tang, and goes over a hidden one."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon

from preview.blade.handle import FRONT, HIGH, LONG, OVER_END, OVER_SIDE, RIM, behind_heel
from preview.blade.outlines import NamedOutline


def blade(**more) -> NamedOutline:
    return NamedOutline(length=150, height=32, **more)


@pytest.mark.parametrize("handle", ["plain", "none"])
def test_nothing_is_drawn_behind_a_blade_without_a_tang(handle):
    found = behind_heel(blade(), handle)
    assert not found.tang.size
    assert not found.handle.size
    assert found.reach == (0, 0, 0)


@pytest.mark.parametrize("height", [8.0, 24.0])
def test_without_a_handle_the_bare_tang_is_seen(height):
    outline = blade(tang=90, tang_height=height)
    found = behind_heel(outline, "none")
    assert not found.handle.size
    assert Polygon(found.tang).area == pytest.approx(outline.tang_area)
    assert found.reach == pytest.approx((90, 0, 16 + height / 2))


def test_a_full_tang_is_seen_round_its_handle():
    found = behind_heel(blade(tang=100, tang_height=24), "plain")
    tang, handle = Polygon(found.tang), Polygon(found.handle)
    assert handle.is_valid
    assert tang.contains(handle)
    assert handle.bounds == pytest.approx((-100 + RIM, 4 + RIM, -FRONT, 28 - RIM), abs=1e-6)
    assert tang.exterior.distance(handle) == pytest.approx(RIM, abs=1e-3)


@pytest.mark.parametrize(
    ("tang", "height", "long", "high"),
    [
        (60.0, 10.0, LONG, HIGH),  # as much as a hand takes hold of
        (130.0, 10.0, 130 + OVER_END, HIGH),  # all of the tang is in it
        (60.0, 17.5, LONG, 17.5 + 2 * OVER_SIDE),
    ],
)
def test_a_hidden_tang_is_in_its_handle(tang, height, long, high):
    outline = blade(tang=tang, tang_height=height)
    found = behind_heel(outline, "plain")
    assert not found.tang.size
    handle = Polygon(found.handle)
    assert handle.is_valid
    left, low, right, top = handle.bounds
    assert (left, right) == pytest.approx((-long, 0), abs=0.01)
    assert (low + top) / 2 == pytest.approx(16)  # the tang's middle
    assert high - 1 < top - low <= high + 1e-6  # its widest place is where its end is rounded already
    assert handle.buffer(0.01).contains(Polygon(np.concatenate([outline.tang_polygon])))


def test_a_small_blade_has_a_handle_no_higher_than_itself():
    found = behind_heel(NamedOutline(length=70, height=16, tang=50), "plain")
    low, top = found.handle[:, 1].min(), found.handle[:, 1].max()
    assert top - low <= 16
    assert top <= 16
    assert low >= 0
