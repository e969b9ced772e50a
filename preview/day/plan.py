"""The plan of a day: what each pass and each step asks of tools and fire."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.units import Sentence
from preview.day.tools import Shop, Tool
from preview.forging.bar import Bar
from preview.forging.expansion import elongation
from preview.forging.squeeze import Squeeze
from preview.forging.steps.base import Heat, Step
from preview.job.job import Job

Size = tuple[float, float, float]
"""Length, width and thickness, mm."""

AT_LIMIT = 0.95
"""Share of what a tool can give from which a pass is told to have no reserve (our own choice)."""


@dataclass(frozen=True)
class PassPlan:
    """One pass of the dies: what to do, and what it asks.

    Parameters
    ----------
    squeeze
        The pass, sizes cold, its bite as it is taken.
    tool
        What does it.
    start, halfway
        °C at which the steel comes to the dies, and half way from there to where it has to go back.
    stop
        °C at which it has to go back to the fire: out of its window, or too stiff for the tool.
    possible
        Whether the tool manages it, judged half way down.
    load
        What it asks over what the tool can give, half way.
    asked
        The same in words, at the start and when it has to go back.
    bites
        How many it takes: those that lie end to end, or twice as many where they overlap by half.
    closings
        Bites, each with all its closings or blows.
    bites_a_heat
        How many bites are done from the fire until it has to go back, no more than it takes in all.
    heats
        How often the steel goes back to the fire during it.
    instead
        Why it is not possible, and what is.
    """

    squeeze: Squeeze
    tool: Tool
    start: float
    halfway: float
    stop: float
    possible: bool
    load: float
    asked: tuple[str, str]
    bites: int
    closings: int
    bites_a_heat: int
    heats: int
    instead: tuple[Sentence, ...] = ()

    @property
    def before(self) -> Size:
        """The bar as it goes into the pass."""
        return self.squeeze.before

    @property
    def at_limit(self) -> bool:
        """Whether the tool gives all it has before the steel goes back, so that nothing is left for an unsure force."""
        return self.possible and self.tool.load(self.squeeze, self.stop) > AT_LIMIT

    @property
    def hot(self) -> float:
        """What a caliper reads after the pass, half way down, mm."""
        return self.squeeze.h1 * (1 + elongation(self.halfway))


@dataclass(frozen=True)
class StepPlan:
    """One step of the work.

    Parameters
    ----------
    number, step, met
        Which one, it, and the bar that it meets.
    heat
        °C of its heat; None where it is done cold.
    passes
        Of the dies.
    heats
        How often the steel comes out of the fire for it.
    minutes
        In the fire, all of its heats together.
    at_dies
        Minutes out of it.
    words
        What to mind.
    """

    number: int
    step: Step
    met: Bar
    heat: float | None
    passes: tuple[PassPlan, ...] = ()
    heats: int = 0
    minutes: float = 0.0
    at_dies: float = 0.0
    words: tuple[Sentence, ...] = ()

    @property
    def possible(self) -> bool:
        """Whether the tools manage all of it."""
        return all(each.possible for each in self.passes)


@dataclass(frozen=True)
class Plan:
    """A day at the forge."""

    job: Job
    shop: Shop
    steps: tuple[StepPlan, ...]

    @property
    def possible(self) -> bool:
        """Whether the tools manage all of it."""
        return all(each.possible for each in self.steps)

    @property
    def heats(self) -> int:
        """How often the steel comes out of the fire."""
        return sum(each.heats for each in self.steps)

    @property
    def minutes(self) -> float:
        """In the fire and at the dies, together."""
        return sum(each.minutes + each.at_dies for each in self.steps)


def planned_heat(plan: StepPlan) -> Heat | None:
    """Return a step's heat with the minutes that the plan gives it; None where it takes none."""
    if not plan.heats or plan.heat is None:
        return None
    minutes = float(max(round(plan.minutes), 1))
    if plan.step.heat is None:
        return Heat(temperature=plan.heat, minutes=minutes)
    return plan.step.heat.model_copy(update={"minutes": minutes})
