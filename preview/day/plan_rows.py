"""The plan's parts in words: a row for each pass, what to mind, the sums."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from typing import NamedTuple

from preview.base.units import METRIC, Units
from preview.day.plan import PassPlan, Plan, StepPlan

HEADS = (
    "do",
    "bar, cold",
    "read hot",
    "bite",
    "bites",
    "closings",
    "bites a heat",
    "asks, hot to stop",
    "back at",
    "heat",
    "done",
)


def _heads(step: StepPlan) -> tuple[str, ...]:
    """Return the table's heads, what a bite takes by the tool's own name."""
    counted = dict.fromkeys(each.tool.counted for each in step.passes)
    return tuple(" or ".join(counted) if head == "closings" else head for head in HEADS)


def plan_verdict(plan: Plan) -> str:
    """Return whether the tools manage it."""
    too_much = [each for each in plan.steps if not each.possible]
    name = plan.shop.title or "these tools"
    if not too_much:
        return f"Possible with {name}, in {plan.heats} heats{_limit_words(plan)}."
    numbers = ", ".join(str(each.number) for each in too_much)
    asks = "step {} asks" if len(too_much) == 1 else "steps {} ask"
    return f"Not possible with {name}: {asks.format(numbers)} too much."


def _limit_words(plan: Plan) -> str:
    """Return which passes have no reserve; empty where all have."""
    found = []
    for step in plan.steps:
        passes = [str(number) for number, each in enumerate(step.passes, start=1) if each.at_limit]
        if passes:
            found.append(f"step {step.number}, pass{'es' * (len(passes) > 1)} {', '.join(passes)}")
    return f"; at the tool's limit, no reserve (forces are good to some 30 %): {'; '.join(found)}" if found else ""


def _fire_words(step: StepPlan, units: Units) -> str:
    """Return what a step asks of the fire; empty where it goes through without a heat."""
    if not step.heats:
        return ""
    heats = "1 heat" if step.heats == 1 else f"{step.heats} heats"
    heat = units.heat(step.heat or 0, form=".0f")
    out = f", {hours(step.at_dies)} out of it at work" if step.at_dies else ""
    return f"fire {heat}, {heats}, {hours(step.minutes)} in it{out}"


def _pass_row(each: PassPlan, begun: int, units: Units) -> tuple[str, ...]:
    """Return a row of the table, as `HEADS` names its cells; the last is to be ticked.

    ``begun`` is the number of the day's heat in which the steel comes to the pass.
    """
    squeeze = each.squeeze
    hot, stiff = each.asked
    return (
        f"{'on edge' if squeeze.turned else 'flat'} {units.number(squeeze.h0, '.1f')} to "
        f"{units.length(squeeze.h1, form='.1f')}",
        f"{units.length(squeeze.length, squeeze.width, form='.0f')}",
        units.length(each.hot, form=".1f"),
        units.length(squeeze.bite, form=".3g"),
        str(each.bites),
        str(each.closings) if each.possible else "-",
        str(each.bites_a_heat) if each.possible else "-",
        hot if hot == stiff else f"{hot} to {stiff}",
        units.heat(each.stop, form=".0f") if each.possible else "too much",
        _numbered(begun, begun + each.heats) if each.possible else "-",
        "[ ]",
    )


def _numbered(first: int, last: int) -> str:
    """Return which heats of the day, by their numbers."""
    first = max(first, 1)
    return f"{first} to {last}" if last > first else str(first)


class StepTable(NamedTuple):
    """One step of the plan: what to do, its passes under their heads (empty where it has none), and what to mind."""

    head: str
    rows: list[tuple[str, ...]]
    lines: list[str]


def plan_tables(plan: Plan, units: Units = METRIC) -> list[StepTable]:
    """Return a plan step by step, to be worked down; what to mind is told where it comes first."""
    told: set[str] = set()
    tables, done_heats = [], 0
    for step in plan.steps:
        by_hammer = ", with the hammer" * any(each.tool.title == "hammer" for each in step.passes)
        done = f"{step.number} · {step.step.words(units)}{by_hammer}"
        head = ": ".join(filter(None, (done, _fire_words(step, units))))
        begun = done_heats + step.heats - sum(each.heats for each in step.passes)
        before = accumulate((each.heats for each in step.passes), initial=begun)
        rows = [_pass_row(each, heat, units) for each, heat in zip(step.passes, before, strict=False)]
        done_heats += step.heats
        tables.append(StepTable(head, [_heads(step), *rows] if rows else [], list(_minded(step, units, told))))
    return tables


def _minded(step: StepPlan, units: Units, told: set[str]) -> Iterator[str]:
    """Yield why passes are not possible, and what to mind in a step where it is not among what was ``told`` before."""
    for number, each in enumerate(step.passes, start=1):
        for words in each.instead:
            yield f"pass {number}: {words.told(units)}."
    for line in (f"{words.told(units)}." for words in step.words):
        if line not in told:
            told.add(line)
            yield line


def plan_sums(plan: Plan) -> str:
    """Return what the day comes to."""
    at_dies = sum(each.at_dies for each in plan.steps)
    said = f"In all: {plan.heats} heats, {hours(plan.minutes)}; of that the steel is {hours(at_dies)} out of the fire."
    return said if plan.possible else f"{said} What is too much is not counted."


def hours(minutes: float) -> str:
    """Return minutes in words.

    Examples
    --------
    >>> hours(7.4), hours(95)
    ('7 min', '1 h 35 min')
    """
    whole = max(round(minutes), 1 if minutes else 0)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"
