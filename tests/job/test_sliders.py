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
    assert ends["angle"][0] == pytest.approx(flat, abs=0.01)
    by_angle = bevel.model_copy(update={"hold": "angle", "angle": 7.0})
    assert job.ground.worth_trying("right", by_angle, "angle", flat, 12.0) == {
        "height": pytest.approx((job.ground.other_way("right", bevel, "angle", 12.0), 17.7), abs=0.1),
        "angle": pytest.approx((flat, 12.0), abs=0.01),
    }


@pytest.mark.parametrize("name", ["running_wave", "marsh_moon"])
@pytest.mark.parametrize("kind", ["flat", "convex"])
def test_what_is_set_comes_out_again_as_it_was_set(name, kind):
    """A height while the angle is held, an angle while the height is, in the hundredths that the page shows."""
    job = preview.load_job(DEMOS / f"{name}.toml")
    own = preview.GRIND_KINDS[kind].model_validate({"height": 20.0, "angle": 5.0})
    for typed in (12.3, 20.0, 21.5, 22.0, 24.0):
        angle = job.ground.other_way("right", own, "height", typed)
        assert round(job.ground.mid_grind("right", own.at_angle(angle))[0], 2) == typed
    for typed in (2.5, 3.33, 4.0):
        height = job.ground.other_way("right", own, "angle", typed)
        if height < job.blade.outline.height:
            assert round(job.ground.mid_grind("right", own.at_height(height))[1], 2) == typed


def test_a_held_angle_that_moves_is_told_by_the_height_it_costs():
    """A line 24 mm up, on a wheel that does not reach it: the text gives what he asked for and what he gets."""
    job = preview.load_job(DEMOS / "running_wave.toml")
    flat = job.grind.right.model_copy(update={"hold": "angle"})
    angle = job.ground.other_way("right", flat, "height", 24.0)
    values = job.model_dump(mode="json", exclude_none=True)
    grind = {**values["grind"], "right": {"kind": "hollow", "hold": "angle", "angle": angle, "wheel_diameter": 250.0}}
    near = nearest_job({**values, "grind": grind, "folder": job.folder})
    told = str(near.told("grind.right.angle", "Grind angle"))
    high, _ = near.job.ground.mid_grind("right", near.job.grind.right)
    assert told.startswith(f"Grind height lowered from 24 mm to {high:.1f} mm, at {near.job.grind.right.angle:g}°: ")
    assert "the most that this wheel allows. 24 mm high takes a wheel of diameter" in told
