"""The forging step by step, as rows of the shop's sheet: what to do, in which heat, to which sizes, pass by pass."""

from __future__ import annotations

from preview.base.units import Units
from preview.filling.budget import Budget
from preview.filling.budget_words import carbon_milled, stage_rows
from preview.forging.expansion import elongation
from preview.forging.heating import SOAK
from preview.forging.squeeze import Squeeze
from preview.job.job import Job

MOST_LISTED = 12
"""Passes of the whole forging up to which each has a line of its own; of more the thicknesses alone are told."""

FIELD = "_" * 5
"""What a size is written on."""


def step_rows(job: Job, weighed: Budget, units: Units) -> list[tuple[str, ...]]:
    """Return the heads, then a row for each step, its last cell left for the smith's own readings, one a pass."""
    heads = ("step", "heat", "target, cold", f"read at {units.heat(weighed.read_at, form='.0f')}", "your reading")
    rows: list[tuple[str, ...]] = [heads]
    grow = 1 + elongation(weighed.read_at)
    history = job.history
    passes = [step.counted(met) for step, met in zip(history.steps, history.met, strict=True)]
    each = sum(map(len, passes)) <= MOST_LISTED
    last_mill = max((number for number, step in enumerate(history.steps) if step.mills), default=None)
    for number, (told, cold, hot, *_) in enumerate(stage_rows(weighed, units)[1:]):
        sizes = (_passes(passes[number], times, units, each=each) for times in (1.0, grow))
        cold, hot = (size + more for size, more in zip((cold, hot), sizes, strict=True))
        if number == last_mill and (carbon := carbon_milled(weighed, units)):
            told += f"\n{carbon}"
        rows.append((told, _heat(job, number, weighed, units), cold, hot, _readings(passes[number], each=each)))
    return rows


def _readings(passes: tuple[Squeeze, ...], *, each: bool) -> str:
    """Return what the smith fills in: beside the line of each pass one of his own, where they have lines."""
    if not passes or not each:
        return " "
    return "\n".join([" ", " ", *(f"{number}: {FIELD} x {FIELD}" for number in range(1, len(passes) + 1))])


def _passes(passes: tuple[Squeeze, ...], grow: float, units: Units, *, each: bool) -> str:
    """Return what passes come to, ``grow`` times their cold size, ``each`` in a line; empty where there are none."""
    if not passes:
        return ""
    sizes = [tuple(units.number(size * grow, ".1f") for size in (one.h1, one.width)) for one in passes]
    if not each:
        return "\nafter each pass: " + ", ".join(thick for thick, _ in sizes)
    head = "pass: dies x across" if any(one.turned for one in passes) else "pass: thick x wide"
    return "\n".join(["", head, *(f"{k}: {thick} x {wide}" for k, (thick, wide) in enumerate(sizes, start=1))])


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
