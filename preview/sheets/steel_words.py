"""What a client is told of a blade's steel, its size, its grind and its finish."""

from __future__ import annotations

import re

import numpy as np

from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.job.job import Job

SATIN = "fine brushed lines"
"""What any finish but a polish looks like to those who know no grit."""

GRIT = "the higher the number, the finer"

FORMS = {"flat": " in a straight taper", "hollow": " in a hollow curve", "convex": " in a rounded curve"}
"""How steel thins by the kind of its grind, to those who do not know the word."""


def steel_words(job: Job, units: Units) -> str:
    """Return in plain words what the blade is made of and how it is finished."""
    return kept_together(f"{made_words(job)} {size_words(job, units)} {facing_words(job, units)}")


def made_words(job: Job) -> str:
    """Return of what steels the blade is made, and how."""
    parts = []
    for powder in job.powders:
        looks = "stays bright in it" if powder.name in job.bright_powders else "turns dark in it"
        kind = f"steel with {powder.nickel:g} % nickel" if powder.nickel >= 0.5 else "plain carbon steel"
        parts.append(f"{kind} {looks}")
    return (
        "Made from steel powders, welded, forged and ground by hand. The etch, an acid bath, brings the pattern out: "
        f"{', '.join(parts)}. No colour is painted on: the pattern goes through the steel."
    )


def kept_together(text: str) -> str:
    """Return ``text`` with each number tied to its unit, so that both stand on one line."""
    return re.sub(r"(?<=\d) (?=mm|in\b|g\b|%)", "\u00a0", text)


def size_words(job: Job, units: Units) -> str:
    """Return how large the blade is."""
    outline = job.blade.outline
    long, high = (units.length(size, form="g") for size in (outline.length, outline.height))
    thick = units.length(float(job.ground.unground(np.zeros(1))[0]), form=".2g")
    return (
        f"The blade is {long} long from the heel, its blunt end, to the tip, {high} high at the heel and {thick} thick "
        "there."
    )


def facing_words(job: Job, units: Units) -> str:
    """Return how its faces are ground, and how they are finished."""
    line, _ = job.ground.mid_grind("right", job.grind.right)
    ground = grind_words(job, units)
    if job.grind.right.is_ground:
        low = line < job.blade.outline.height
        start = f"a line {units.length(line, form='.0f')} above it, the grind line" if low else "the spine on"
        ground += f": the steel thins to the edge{FORMS.get(job.grind.right.kind, '')} from {start}"
    return f"It is {ground}. The bright steel is {finish_words(job)}."


def finish_words(job: Job) -> str:
    """Return in plain words how the steel is finished."""
    light = job.light
    bright = "polished" if light.finish == "polished" else f"{light.finish}: {SATIN} ({light.grit} grit; {GRIT})"
    dark = ", given a dark finish after the etch" if job.etch.dark_finish is not None else ""
    return f"{bright}{dark}"


def grind_words(job: Job, units: Units) -> str:
    """Return the grind in plain words, in the reader's units."""
    right, left = (job.grind.bevel(side).words(units) for side in SIDES)
    return f"{right} on both faces" if right == left else f"{right} on the right face, {left} on the left"
