"""What a grind means in use, plainly and in a table: steel behind the edge, slope, weight, finish."""

from __future__ import annotations

import numpy as np

from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.in_hand.stones import sharpened_stand
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY
from preview.sheets.steel_words import kept_together

BEHIND = (1.0, 5.0)
"""Distances from the edge (mm) at which its thickness is told."""

ALIKE = 0.05
"""Difference of that thickness (mm) under which two blades are alike in use (our choice)."""

PLACES = 80
"""Places along and across in which a blade is weighed."""

THINNER = "cuts with less force, but is less sturdy"
THICKER = "sturdier, but takes more force to cut"
MUCH_ALIKE = "cuts much as A does"
"""Common practice, no published source."""


def in_use_words(job: Job, first: Job) -> str:
    """Return in a few words what a blade's thickness means against the version that stands ``first``."""
    more = thick_behind(job)[-1] - thick_behind(first)[-1]
    if abs(more) < ALIKE:
        return MUCH_ALIKE
    return THICKER if more > 0 else THINNER


def in_use_table(jobs: tuple[Job, ...], units: Units) -> list[tuple[str, ...]]:
    """Return rows of what blades are in use: what it is, and its value for each of ``jobs``."""
    fine = units.model_copy(update={"places": 3})
    thick = zip(*(thick_behind(each) for each in jobs), strict=True)
    rows = [
        *(
            (f"Thick {units.length(far, form='g')} behind the edge", *(fine.length(size, form=".2f") for size in sizes))
            for far, sizes in zip(BEHIND, thick, strict=True)
        ),
        ("Slope of each face", *map(_slope, jobs)),
        ("Weight without handle", *(f"some {5 * round(weight(each) / 5)} g" for each in jobs)),
        ("Bright steel", *map(_finish, jobs)),
    ]
    return [tuple(map(kept_together, each)) for each in rows]


def _finish(job: Job) -> str:
    light = job.light
    return light.finish if light.finish == "polished" else f"{light.finish}, {light.grit} grit"


def _slope(job: Job) -> str:
    """Return how steep the faces are half way along: one number where both are alike."""
    bevels = ((side, job.grind.bevel(side)) for side in SIDES)
    told = (f"{job.ground.mid_grind(side, each)[1]:.1f}°" if each.is_ground else "none" for side, each in bevels)
    return ", ".join(dict.fromkeys(told))


def thick_behind(job: Job) -> tuple[float, ...]:
    """Return how thick the sharpened blade is half way along, at distances `BEHIND` from its edge, mm."""
    outline = job.blade.outline
    along = np.full(len(BEHIND), outline.length / 2)
    across = np.minimum(outline.bevel_edge(along) + np.array(BEHIND), outline.spine(along))
    right, left = (sharpened_stand(job.ground, side, along, across) for side in SIDES)
    return tuple((right + left).tolist())


def weight(job: Job) -> float:
    """Return what the ground blade weighs from heel to tip, its tang left out, g."""
    outline = job.blade.outline
    along = (np.arange(PLACES) + 0.5) / PLACES * outline.length
    low, high = outline.rims(along)
    share = (np.arange(PLACES) + 0.5)[:, None] / PLACES
    across = low + (high - low) * share
    thick = sum(job.ground.stand(side, along, across) for side in SIDES)
    return float((np.maximum(thick, 0) * (high - low)).mean() * outline.length * STEEL_DENSITY / 1000)
