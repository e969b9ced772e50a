"""The spine from above: its shape against the ground's own numbers, its pattern against a trace of the metal."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.pictures import linear_luminance
from preview.look.spine import RIM
from preview.pipeline import preview


def test_the_spine_is_as_thick_as_the_blade_and_shows_what_goes_through_it(make):
    """6 mm at the heel, 3 at the tip, so 4.5 in the middle; dark towards the heel, bright towards the tip."""
    job = make(
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.0},
            {"name": "bright", "colours": ["white"], "nickel": 60.0},
        ],
        etch={"minutes": 600}, light={"studio": "even"}, forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 6, "tip_thickness": 3, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"right": {"height": 20}},
    )  # fmt: skip
    picture = preview(job, px_per_mm=8).spine()
    light = linear_luminance(picture)
    assert picture.shape[1] == pytest.approx((100 + 2 * RIM) * 8, abs=1)
    bright, dark = (light[:, round((RIM + at) * 8)] for at in (55, 30))
    assert (bright > 0.35).sum() / 8 == pytest.approx(6 - 3 * 0.55, abs=0.3)
    assert (dark < 0.1).sum() / 8 == pytest.approx(6 - 3 * 0.30, abs=0.3)
    middle = light[len(light) // 2]
    turn = np.flatnonzero(middle > 0.3)[0]
    assert np.median(middle[turn + 8 : turn + 200]) == pytest.approx(((78 + 16) / 116) ** 3, abs=0.03)
