"""The forging step by step, as rows of the shop's sheet: what to do, in which heat, to which sizes, pass by pass."""

from __future__ import annotations

from preview.base.units import Units
from preview.filling.budget import Budget
from preview.filling.budget_words import stage_rows
from preview.forging.expansion import elongation
from preview.forging.heating import SOAK
from preview.job.job import Job

MOST_LISTED = 8
"""Passes up to which each has a line of its own; of more the thicknesses alone are told."""


def step_rows(job: Job, weighed: Budget, units: Units) -> list[tuple[str, ...]]:
    """Return the heads, then a row for each step, its last cell left for the smith's own reading."""
    heads = ("step", "heat", "target, cold", f"read at {units.heat(weighed.read_at, form='.0f')}", "your reading")
    rows: list[tuple[str, ...]] = [heads]
    grow = 1 + elongation(weighed.read_at)
    for number, (told, cold, hot, *_) in enumerate(stage_rows(weighed, units)[1:]):
        each = _passes(job, number, 1.0, units), _passes(job, number, grow, units)
        rows.append((told, _heat(job, number, weighed, units), cold + each[0], hot + each[1], " "))
    return rows


def _passes(job: Job, number: int, grow: float, units: Units) -> str:
    """Return what a step comes to pass by pass, ``grow`` times its cold size; empty where no passes are counted."""
    passes = job.history.steps[number].counted(job.history.met[number])
    if not passes:
        return ""
    sizes = [tuple(units.number(size * grow, ".1f") for size in (each.h1, each.width)) for each in passes]
    if len(sizes) > MOST_LISTED:
        return "\nafter each pass: " + ", ".join(thick for thick, _ in sizes)
    lines = [f"{k}: {thick} x {wide}" for k, (thick, wide) in enumerate(sizes, start=1)]
    turned = any(each.turned for each in passes)
    return "\n".join(["", "pass: dies x across" if turned else "pass: thick x wide", *lines])


def _heat(job: Job, number: int, weighed: Budget, units: Units) -> str:
    """Return a step's heat, how much of it soaks the can, and what scale takes in it."""
    step, stage = job.forging[number], weighed.stages[number]
    if step.cold:
        return "cold"
    if step.heat is None:
        fires = [each.heat.temperature for each in job.forging[:number] if each.heat]
        if not fires or not step.squeezes(job.history.met[number]):
            return ""
        return f"none given: back to {units.heat(fires[-1])} as needed; its scale is not counted"
    words = f"{units.heat(step.heat.temperature)}, {step.heat.minutes:g} min"
    soaked = step.heat.minutes - weighed.soak.through
    if step.welds and soaked > 0:
        words += f": {weighed.soak.through:.0f} until hot through, {soaked:.0f} to soak (at least {SOAK:.0f})"
    return words + (f"; scale {units.length(stage.scale_depth, form='.2f')} a side" if stage.scale else "")
