"""The plan as numbers, for other programs: a number's name ends in its unit, sizes in mm and cold, heats in °C."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from preview.base.results import Celsius, Minutes, Mm, ShareOf, plain
from preview.base.units import METRIC
from preview.day.batch import Batch
from preview.day.finishing import finishing
from preview.day.moving import Moved
from preview.day.plan import PassPlan, Plan, StepPlan
from preview.day.suiting import Suited


@dataclass(frozen=True)
class PassNumbers:
    """One pass of the dies; see `preview.day.plan.PassPlan`. ``load`` over 1 is too much for the tool."""

    tool: str
    on_edge: bool
    before: Mm
    after: Mm
    length: Mm
    width: Mm
    read_hot: Mm
    bite: Mm
    bites: int
    possible: bool
    load: ShareOf
    asked_hot: str
    asked_at_the_end: str
    starts_at: Celsius
    judged_at: Celsius
    back_at: Celsius
    closings: int | None
    bites_a_heat: int | None
    heats: int | None
    instead: tuple[str, ...]

    @classmethod
    def of(cls, each: PassPlan) -> PassNumbers:
        """Return those of a pass; what is too much for the tool has no closings and heats."""
        squeeze, done = each.squeeze, each.possible
        return cls(
            tool=each.tool.title,
            on_edge=squeeze.turned,
            before=squeeze.h0,
            after=squeeze.h1,
            length=squeeze.length,
            width=squeeze.width,
            read_hot=each.hot,
            bite=squeeze.bite,
            bites=each.bites,
            possible=done,
            load=each.load,
            asked_hot=each.asked[0],
            asked_at_the_end=each.asked[1],
            starts_at=each.start,
            judged_at=each.halfway,
            back_at=each.stop,
            closings=each.closings if done else None,
            bites_a_heat=each.bites_a_heat if done else None,
            heats=each.heats if done else None,
            instead=tuple(map(str, each.instead)),
        )


@dataclass(frozen=True)
class StepNumbers:
    """One step; ``fire`` is None where it is done cold."""

    number: int
    do: str
    fire: Celsius | None
    heats: int
    in_fire: Minutes
    at_dies: Minutes
    possible: bool
    passes: tuple[PassNumbers, ...]
    mind: tuple[str, ...]

    @classmethod
    def of(cls, step: StepPlan) -> StepNumbers:
        """Return those of a step."""
        return cls(
            number=step.number,
            do=step.step.words(METRIC),
            fire=step.heat,
            heats=step.heats,
            in_fire=step.minutes,
            at_dies=step.at_dies,
            possible=step.possible,
            passes=tuple(map(PassNumbers.of, step.passes)),
            mind=tuple(map(str, step.words)),
        )


@dataclass(frozen=True)
class PlanNumbers:
    """A day at the forge."""

    shop: str
    possible: bool
    heats: int
    time: Minutes
    at_dies: Minutes
    steps: tuple[StepNumbers, ...]

    @classmethod
    def of(cls, plan: Plan) -> PlanNumbers:
        """Return those of a plan."""
        return cls(
            shop=plan.shop.title,
            possible=plan.possible,
            heats=plan.heats,
            time=plan.minutes,
            at_dies=sum(each.at_dies for each in plan.steps),
            steps=tuple(map(StepNumbers.of, plan.steps)),
        )


@dataclass(frozen=True)
class FittedNumbers:
    """A work fitted to the tools; one whose blade does not ``fit`` the bar it leaves is not to be forged."""

    fits: bool
    faults: tuple[str, ...]
    changes: tuple[str, ...]
    missing: tuple[str, ...]
    moved: tuple[Moved, ...]
    plan: PlanNumbers


def day_numbers(plan: Plan, suited: Suited | None = None, batch: Batch | None = None) -> dict[str, Any]:
    """Return the day as plain values for JSON: the plan, and where it was asked for, the fitted one and the batch."""
    found: dict[str, Any] = {
        "plan": plain(PlanNumbers.of(plan)),
        "after_forging": [str(each) for each in finishing(plan.job, plan.shop)],
    }
    if suited is not None:
        fitted = FittedNumbers(
            fits=not suited.faults,
            faults=tuple(map(str, suited.faults)),
            changes=tuple(map(str, suited.changes)),
            missing=tuple(map(str, suited.missing)),
            moved=suited.moved,
            plan=PlanNumbers.of(suited.plan),
        )
        found["fitted"] = plain(fitted)
    if batch is not None:
        found["batch"] = plain(batch)
    return found
