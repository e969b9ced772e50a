"""What a grind means in use: how thick the steel is behind the edge, what the blade weighs, and what that does."""

from __future__ import annotations

import numpy as np

from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.in_hand.stones import sharpened_stand
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY

BEHIND = (1.0, 5.0)
"""Distances from the edge (mm) at which its thickness is told."""

ALIKE = 0.05
"""Difference of that thickness (mm) under which two blades are alike in use (our choice)."""

PLACES = 80
"""Places along and across in which a blade is weighed."""

THINNER = "thinner behind the edge, it cuts with less force and has less steel to hold against prying"
THICKER = "thicker behind the edge, it is sturdier and holds more against prying, but takes more force to cut"
"""Common practice, no published source."""


def in_use_words(job: Job, first: Job | None, units: Units) -> str:
    """Return how thick and how heavy a blade is, and what that means against the version that stands ``first``."""
    thick, fine = thick_behind(job), units.model_copy(update={"places": 3})
    behind = " and ".join(
        f"{fine.length(size, form='.2f')} thick {units.length(far, form='g')} from the edge"
        for size, far in zip(thick, BEHIND, strict=True)
    )
    told = f"Half way along it is {behind}; from heel to tip it weighs some {5 * round(weight(job) / 5)} g."
    if first is None:
        return told
    more = thick[-1] - thick_behind(first)[-1]
    if abs(more) < ALIKE:
        return f"{told} It cuts much as A does."
    return f"{told} By common practice: {THICKER if more > 0 else THINNER}."


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
