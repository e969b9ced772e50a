"""The plan in words: a table to work down."""

from __future__ import annotations

import re
from math import isnan

from preview.base.cautions import CAUTIONS
from preview.base.errors import Fault, JobError
from preview.base.units import METRIC, Units
from preview.day.batch import Batch
from preview.day.batch_words import batch_text
from preview.day.finishing import finishing
from preview.day.moving import Moved, moved_by_quarter_turns
from preview.day.plan import Plan
from preview.day.plan_rows import plan_sums, plan_tables, plan_verdict
from preview.day.suiting import Suited
from preview.job.job import Job

PLAN_NOTES = (
    "Bites lie end to end, but in the last pass of each pressing overlap them by half: that leaves a third to a "
    "seventh of the waves. There are twice as many of them there, which heats, hours and cost count.",
    "How sure: forces within some 30 % (the steel's strength as published for carbon steel; the slab method, up to a "
    "fifth too high); blows within a factor of two; times out of the fire within some 30 %, by what dies take within a "
    "factor of three. Time your own and correct by it.",
    "Times are those in the fire and at work alone: nothing is reckoned for a fire that has to come up, for brushing "
    "scale off, measuring and straightening, or for rest.",
)
"""What is to be known of every plan: how closings are counted, and how sure it is."""

SEEN = 0.1
"""How far (mm) the pattern has to move to be spoken of: lines are no sharper."""

NOT_FITTED = (
    "DO NOT FORGE BY THE FITTED PLAN BELOW: the bar that it leaves does not hold the blade. Change the can first, and "
    "fit again. No fitted.toml is written; one that lies there already is of another plan:"
)


def day_text(plan: Plan, suited: Suited | None = None, units: Units = METRIC, batch: Batch | None = None) -> str:
    """Return the whole day as text: the plan, what comes after, where it was asked for the fitted one, and the batch.

    A fitted work whose blade does not fit its bar is told of before all else.
    """
    parts = []
    if suited is not None and suited.faults:
        faults = (f"- {each.told(units)}." for each in suited.faults)
        parts += ["\n".join([NOT_FITTED, *faults]) + "\n"]
    parts += [plan_text(plan, units) if suited is None else f"As it is:\n\n{plan_text(plan, units)}"]
    parts += ["\n".join(["After forging:", *(f"- {each}" for each in after_forging(plan, units))]) + "\n"]
    parts += [quarter_turns_text(plan.job, units)]
    if suited is not None:
        sound = suited.plan.possible and not suited.faults
        head = "Fitted: work by this" if sound else "Fitted as far as it goes: do not work by this"
        parts += [suited_text(suited, units), f"{head}:\n\n{plan_text(suited.plan, units)}"]
    if batch is not None:
        parts += [batch_text(batch, units)]
    parts += ["".join(f"{line}\n" for line in lines) for lines in (PLAN_NOTES, CAUTIONS)]
    return "\n".join(filter(None, parts))


def plan_text(plan: Plan, units: Units = METRIC) -> str:
    """Return the plan as text: first whether it can be done, then a table for each step, what to mind, the sums."""
    lines = [plan_verdict(plan), ""]
    for table in plan_tables(plan, units):
        widths = [max(map(len, column)) for column in zip(*table.rows, strict=True)]
        rows = ("  ".join(map(str.ljust, row, widths)).rstrip() for row in table.rows)
        lines += [table.head, *(f"    {row}" for row in rows), *(f"    - {line}" for line in table.lines), ""]
    return "\n".join([*lines, plan_sums(plan)]) + "\n"


def after_forging(plan: Plan, units: Units = METRIC) -> list[str]:
    """Return what there is to do, and to leave, once the bar is forged, a sentence each."""
    return [f"{each.told(units)}." for each in finishing(plan.job, plan.shop)]


def suited_text(found: Suited, units: Units = METRIC) -> str:
    """Return what fitting a work to the tools changes, and what it does to the pattern."""
    lines = ["Fitted to the tools:"]
    lines += [f"- {each.told(units)}." for each in found.changes] or ["- bites and passes stay as they are."]
    lines += [f"- {each.told(units)}." for each in found.missing]
    lines += ["- the heats are as long as the plan says; scale takes a little more or less by it."]
    lines += ["", "By that the pattern moves on the blade:", *moved_lines(found.moved, units)]
    return "\n".join(lines) + "\n"


def quarter_turns_text(job: Job, units: Units = METRIC) -> str:
    """Return what it does to the pattern if the can is set with a quarter turn between bites; empty where it is so."""
    head = (
        "The work reckons with a can that is set flat. Small bites with a quarter turn between are common practice (no "
        "published source), and keep a can from splitting; it then settles half through and half across (along 0, "
        "across 0.5, through 0.5 in the work)"
    )
    try:
        moved = moved_by_quarter_turns(job)
    except JobError as error:
        faults = "".join(f"- {_at_step(each, units)}.\n" for each in error.faults)
        return f"{head}. So set, this work cannot be forged on as it stands:\n{faults}"
    return (
        "\n".join([f"{head}, and the pattern moves on the blade:", *moved_lines(moved, units)]) + "\n" if moved else ""
    )


def _at_step(fault: Fault, units: Units) -> str:
    """Return a fault of the forging with the number of its step, as the plan counts them."""
    found = re.fullmatch(r"forging\[(\d+)\]\.?(.*)", fault.where)
    where = ", ".join(filter(None, (f"step {int(found[1]) + 1}", found[2]))) if found else fault.where
    return Fault(where, fault.problem).told(units)


def moved_lines(moved: tuple[Moved, ...], units: Units) -> list[str]:
    """Return a line for each place of the blade."""
    return [f"- {_moved_words(each, units)}." for each in moved]


def _moved_words(moved: Moved, units: Units) -> str:
    """Return how far the pattern moves at a place, in words."""
    if isnan(moved.along):
        return f"{moved.place}: what stands there now is no longer on the blade"
    if moved.far < SEEN:
        return f"{moved.place}: stays where it is"
    ways = (
        (moved.along, "tip" if moved.along >= 0 else "heel"),
        (moved.across, "spine" if moved.across >= 0 else "edge"),
    )
    told = (f"{units.length(abs(size), form='.1f')} towards the {end}" for size, end in ways if abs(size) >= SEEN)
    return f"{moved.place}: {', '.join(told)}"
