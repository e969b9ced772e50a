"""Between what a slider moves: what this blade can have, its usual values well inside."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

import preview
from preview.base.settings import Settings
from preview.job.limits import nearest_job
from tests.conftest import DEMOS

EDGE = 0.1
"""Share of a slider's way that is hard to reach at either end."""


def sliders(settings: Settings) -> Iterator[tuple[str, float, float, float]]:
    """Yield the label, the value and the ends of each slider with ends of its own, in all settings below these too."""
    for name in type(settings).model_fields:
        value, control = getattr(settings, name), settings.control(name)
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, Settings):
                yield from sliders(each)
        if control and control.slider and None not in (value, control.least, control.most) and name != "angle":
            yield control.label, value, control.least, control.most


def test_every_demo_stands_well_inside(demo):
    found = list(sliders(demo))
    assert len(found) >= 8  # fill density, etch and light at least
    for label, value, least, most in found:
        assert EDGE <= (value - least) / (most - least) <= 1 - EDGE, label


def test_the_grind_of_every_demo_stands_well_inside_or_at_what_bounds_it(demo):
    """Full height, or what a wheel can reach, is an end that means something; the other is only seldom passed."""
    values = demo.model_dump(mode="json", exclude_none=True)
    limits = nearest_job({**values, "folder": demo.folder, "forge": demo.forge, "found": demo.found}).limits
    bevel = demo.grind.right
    bound = [each.nearest for each in limits.get(f"grind.right.{bevel.hold}", ()) if each.most]
    ends = demo.ground.worth_trying("right", bevel, bevel.hold, None, min(bound, default=None))
    shown = dict(zip(("height", "angle"), demo.ground.mid_grind("right", bevel), strict=True))
    for name, (least, most) in ends.items():
        share = (shown[name] - least) / (most - least)
        stated = share > 1 - EDGE if name == "height" else share < EDGE
        assert -1e-3 <= share <= 1 + 1e-3, name
        assert stated or EDGE <= share <= 1 - EDGE, name
        assert not stated or shown["height"] > 0.9 * ends["height"][1]


@pytest.mark.parametrize("held", ["height", "angle"])
def test_ends_by_hand(held):
    """A flat bevel's tangent is what its face rises by, half of thickness less edge, over its height."""
    job = preview.load_job(DEMOS / "marsh_moon.toml")
    rise = (float(job.ground.unground(100.0)) - job.grind.edge) / 2
    bevel = job.grind.right.model_copy(update={"hold": held, "angle": 1.68})
    flat, steep = (round(math.degrees(math.atan(rise / height)), 2) for height in (46, 11.5))
    ends = job.ground.worth_trying("right", bevel, held, None, None)
    assert ends["height"] == (11.5, 46)
    assert ends["angle"] == pytest.approx((flat, steep), abs=0.01)


def test_what_bounds_the_grind_is_where_the_slider_ends():
    """Hollow on a wheel: up to where it reaches. The angle that goes with that is its own end."""
    job = preview.load_job(DEMOS / "along_the_bar.toml")
    bevel = job.grind.right
    ends = job.ground.worth_trying("right", bevel, "height", None, 17.7)
    assert ends["height"] == (4.4, 17.7)
    flat = job.ground.other_way("right", bevel, "height", 17.7)
    assert ends["angle"][0] == flat
    by_angle = bevel.model_copy(update={"hold": "angle", "angle": 7.0})
    assert job.ground.worth_trying("right", by_angle, "angle", flat, 12.0) == {
        "height": pytest.approx((job.ground.other_way("right", bevel, "angle", 12.0), 17.7), abs=0.1),
        "angle": (flat, 12.0),
    }
