"""What is drawn behind the heel, by shapely: a bare tang, or a handle over it."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon

from preview.blade.handle import COLLAR, FLUSH, HIGH, LONG, OVER_END, OVER_SIDE, SWELL, behind_heel
from preview.blade.outlines import NamedOutline


def blade(**more) -> NamedOutline:
    return NamedOutline(length=150, height=32, **more)


@pytest.mark.parametrize("handle", ["plain", "none"])
def test_nothing_is_drawn_behind_a_blade_without_a_tang(handle):
    found = behind_heel(blade(), handle)
    assert not found.tang.size
    assert not found.grip.size
    assert found.reach == (0, 0, 0)


@pytest.mark.parametrize("height", [8.0, 24.0])
def test_without_a_handle_the_bare_tang_is_seen(height):
    outline = blade(tang=90, tang_height=height)
    found = behind_heel(outline, "none")
    assert not found.grip.size
    assert Polygon(found.tang).area == pytest.approx(outline.tang_area)
    assert found.reach == pytest.approx((90, 0, 16 + height / 2))


def test_a_full_tangs_handle_follows_it_and_swells():
    outline = blade(tang=100, tang_height=24)
    found = behind_heel(outline, "plain")
    assert not found.tang.size
    handle = Polygon(found.handle)
    assert handle.is_valid
    assert handle.buffer(0.02).contains(Polygon(outline.tang_polygon))
    left, low, right, high = handle.bounds
    assert (left, right) == pytest.approx((-100, 0), abs=0.01)
    assert 4 - 1.2 * SWELL < low < 4 - FLUSH
    assert high == pytest.approx(28 + SWELL, abs=0.05)
    assert found.grip[-1] == pytest.approx((0, 4 - FLUSH, 28 + FLUSH))
    assert found.collar == -COLLAR
    assert found.collar in found.grip[:, 0]


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
    assert high - 1 < top - low < high + 1
    assert handle.buffer(0.01).contains(Polygon(np.concatenate([outline.tang_polygon])))


def test_a_tang_that_rises_takes_its_handle_along():
    level, risen = (blade(tang=90, tang_height=12, tang_rise=rise) for rise in (0.0, 5.0))
    np.testing.assert_allclose(risen.tang_polygon, level.tang_polygon + np.array([0, 5]))
    np.testing.assert_allclose(behind_heel(risen, "plain").grip, behind_heel(level, "plain").grip + np.array([0, 5, 5]))


def test_a_small_blade_has_a_handle_hardly_higher_than_itself():
    found = behind_heel(NamedOutline(length=70, height=16, tang=50), "plain")
    low, top = found.handle[:, 1].min(), found.handle[:, 1].max()
    assert top - low <= 17
