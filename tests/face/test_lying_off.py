"""Figures wholly off the blade, against places in a can that is only squeezed flat: its millimetres are the blade's."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.face.lying_off import lying_off
from preview.pipeline import find_origins
from preview.sheets.report import lost_words

POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.1},
    {"name": "bright", "colours": ["white"], "nickel": 4.0},
]
CAN = {"length": 120, "width": 60, "height": 30, "wall": 0, "fill_density": 0.6}
BLADE = {"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 60, "height": 40, "point": 1}}


def found(make, *squares, **more):
    """Return the figures off a blade in the middle of a can, in which squares (mm from its middle) are bright."""
    picture = np.zeros((600, 1200), dtype=bool)
    for left, low, right, top in squares:
        picture[300 - 10 * top : 300 - 10 * low, 600 + 10 * left : 600 + 10 * right] = True
    forging = [{"step": "consolidate"}, *more.pop("then", ())]
    job = make(picture, powders=POWDERS, can=CAN, forging=forging, blade=BLADE, **more)
    return lying_off(find_origins(job), ("bright",))


def test_each_is_told_by_the_side_it_lies_on_the_largest_first(make):
    tip, heel, spine, edge = (40, -5, 48, 5), (-50, 0, -45, 5), (0, 22, 10, 24), (-20, -26, -10, -24)
    cut, whole = (-5, -25, 5, -15), (10, 0, 20, 5)
    off = found(make, tip, heel, spine, edge, cut, whole)
    assert [each.beside for each in off] == ["tip", "heel", "spine", "edge"]
    ends = [(10, 18), (15, 20), (30, 40), (10, 20)]
    for each, wanted in zip(off, ends, strict=True):
        assert (each.start, each.end) == pytest.approx(wanted, abs=0.3)
    assert off[0].share == pytest.approx(80 / (80 + 25 + 20 + 20 + 100 + 50), abs=0.01)
    assert lost_words(off, METRIC) == (
        "; wholly off it lie figures: 10 to 18 mm beyond the tip, 15 to 20 mm behind the heel, "
        "over the spine 30 to 40 mm from the heel, 1 more"
    )


def test_what_is_milled_off_is_told_as_that(make):
    (off,) = found(make, (-58, 0, -55, 5), (0, 0, 9, 9), then=[{"step": "trim", "ends": 6}])
    assert off.beside == "milled"
    assert lost_words((off,), METRIC) == "; wholly off it lies a figure: in what is milled off the bar"


def test_where_none_is_told(make):
    assert found(make, (0, 0, 10, 5)) == ()
    assert found(make, (40, 0, 48, 5), pattern={"dividers": "along"}) == ()
    assert found(make, (40, -30, 48, 30)) == ()  # from side to side of the can: a ground, not a figure
    assert lost_words((), METRIC) == ""
