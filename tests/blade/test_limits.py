"""How high each kind can be ground: hand-worked circles and planes, and the kind's own verdict on either side."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import Units
from preview.blade.grind import Grind
from preview.blade.grinds import GROUND_KINDS, Compound, Convex, Flat, Hollow

ALONG = np.array([0.0, 60.0, 120.0])
THICKNESS = np.array([4.0, 3.7, 3.4])
HEIGHT = 60.0


def lines(bevel, thickness=THICKNESS, edge=0.4):
    return Grind(edge=edge, right=bevel, left=Flat()).lines("right", ALONG, thickness, HEIGHT)


def all_limits(bevel, thickness=THICKNESS):
    found = lines(bevel, thickness)
    return list(bevel.limits(found.foot, found.face, HEIGHT))


def limits(bevel, where, thickness=THICKNESS):
    return [each for each in all_limits(bevel, thickness) if each.where == where]


def bound(bevel, where, *, most=True, thickness=THICKNESS):
    told = [each.bound for each in limits(bevel, where, thickness) if each.most is most]
    return (min if most else max)(told)


def test_a_wheel_by_the_sagitta_of_a_chord():
    """Sagitta of a wheel of radius R over a half chord h: R - sqrt(R**2 - h**2) (any handbook of plane geometry).

    T 4, edge 0.4: the face rises by 1.8. With R 125: 123.2**2 = 15178.24, and 125**2 - 15178.24 = 446.76 = 21.1367**2.
    """
    assert 125 - np.sqrt(125**2 - 446.76) == pytest.approx(1.8)
    even = np.full(3, 4.0)
    assert bound(Hollow(wheel_diameter=250), "height", thickness=even) == pytest.approx(21.1367, abs=1e-4)
    assert Hollow.smallest_wheel(np.array([1.8]), 21.1367) == pytest.approx(250, abs=1e-3)
    # 30 mm high: R = (h**2 + s**2) / 2 s = 903.24 / 3.6 = 250.9
    assert Hollow.smallest_wheel(np.array([1.8]), 30) == pytest.approx(2 * 250.9)
    (wheel,) = [each for each in limits(Hollow(height=30), "height", even) if each.cause == "this wheel"]
    assert wheel.nearest == 21.1
    assert not wheel.holds
    assert str(wheel.words()) == "up to 21.1 mm with this wheel"
    told = wheel.moved("Height")
    assert str(told) == (
        "Height moved to 21.1 mm: the most that this wheel allows. 30 mm high takes a wheel of diameter 502 mm or more."
    )
    assert told.told(Units(sizes="inch")).startswith("Height moved to 0.831 in: the most that this wheel allows. 1.181")


def test_the_thinnest_place_limits_the_wheel_held_by_height_and_by_angle():
    """T 3.4 at the tip: rise 1.5, sqrt(1.5 * 248.5) = 19.3067; its chord there leans by atan(1.5 / 19.3067)."""
    assert bound(Hollow(), "height") == pytest.approx(19.3067, abs=1e-4)
    angles = np.degrees(np.arctan([1.8 / 21.1367, 1.65 / np.sqrt(1.65 * 248.35), 1.5 / 19.3067]))
    assert bound(Hollow(hold="angle", angle=3), "angle", most=False) == pytest.approx(max(angles), abs=1e-4)


def test_a_bulge_by_its_tangent():
    """Tangent to the face at the grind line, over a chord at 60 degrees: sag = chord / 2 tan 30 = rise / 3."""
    even = np.full(3, 4.0)
    assert bound(Convex(height=1.8 / np.sqrt(3)), "sag", thickness=even) == pytest.approx(0.6)
    assert bound(Convex(hold="angle", angle=59.99999), "sag", thickness=even) == pytest.approx(0.6)
    # 7.5 high and 1.8: chord 7.7130 (59.49 its square); 7.7130 * 1.8 / (2 * 15.2130) = 0.45630
    assert bound(Convex(height=7.5), "sag", thickness=even) == pytest.approx(0.4563, abs=1e-4)


def test_a_second_bevel_by_the_planes_that_meet():
    """Edge bevel of tan 0.2 (11.3099 degrees): carried on, it rises by 1.8 over 9 mm, and by 1.5 over 7.5 mm."""
    bevel = Compound(edge_angle=float(np.degrees(np.arctan(0.2))))
    assert bound(bevel, "height", most=False) == pytest.approx(9.0)
    assert bound(bevel, "edge_height") == pytest.approx(7.5)
    held = bevel.at_angle(5.0)
    assert bound(held, "angle") == pytest.approx(11.3099, abs=1e-4)
    assert bound(bevel, "edge_angle", most=False) == pytest.approx(np.degrees(np.arctan(1.8 / 60)))


CASES = [
    *(kind() for kind in GROUND_KINDS.values()),
    *(kind(hold="angle", angle=6.0) for kind in GROUND_KINDS.values()),
    Hollow(wheel_diameter=60.0), Convex(sag=0.5), Convex(sag=0.5, hold="angle", angle=40.0),
    Compound(edge_angle=8.0, edge_height=5.0),
]  # fmt: skip


@pytest.mark.parametrize("bevel", CASES, ids=lambda bevel: bevel.words(Units()))
def test_a_number_at_its_limit_is_possible_and_one_beyond_is_not(bevel):
    while broken := next((each for each in all_limits(bevel) if not each.holds), None):
        bevel = bevel.model_copy(update={broken.where: broken.nearest})
    assert lines(bevel).fault() is None
    for limit in all_limits(bevel):
        if limit.where == "wheel_diameter" or (limit.where == "height" and limit.cause == "this blade height"):
            continue  # the least wheel is one for a millimetre; the blade's height is looked at where the blade is
        at = bevel.model_copy(update={limit.where: limit.nearest})
        if all(each.holds for each in all_limits(at)):
            assert lines(at).fault() is None, limit
        beyond = bevel.model_copy(update={limit.where: limit.bound + (0.02 if limit.most else -0.02)})
        assert lines(beyond).fault() is not None, limit


def test_the_nearest_number_is_round_and_inside():
    (wheel,) = [each for each in limits(Hollow(height=46), "height") if each.cause == "this wheel"]
    assert (wheel.nearest, wheel.bound > wheel.nearest) == (19.3, True)
    (blade,) = [each for each in limits(Flat(height=70), "height") if each.most]
    assert blade.nearest == HEIGHT
    (least,) = limits(Compound(edge_angle=float(np.degrees(np.arctan(0.2)))), "height")[1:]
    assert least.nearest == 9.1  # 9 itself would be no second bevel
