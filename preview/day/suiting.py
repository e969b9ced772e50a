"""The work fitted to the smith's tools: other bites and passes, the plan's heats, and what it does to the pattern."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.errors import Fault, JobError
from preview.base.units import Sentence, say
from preview.day.moving import Moved, pattern_moved
from preview.day.plan import Plan, planned_heat
from preview.day.planning import UNTOLD, make_plan, tried
from preview.day.tools import MANAGED, Shop
from preview.forging.bar import Bar
from preview.forging.steps.base import Step
from preview.job.checks import check_job
from preview.job.job import Job

EASES = (0.95, 0.85)
"""Share of what a tool can give that a changed pass asks at the most, and at a second try: the plan's longer heats
change the bar a little."""


@dataclass(frozen=True)
class Suited:
    """A work fitted to a shop.

    Parameters
    ----------
    plan
        Its plan, with the job that was changed.
    changes
        What was changed, in words.
    missing
        What no other bites or passes help.
    faults
        What is now wrong with it: a blade that the bar no longer holds.
    moved
        How far the pattern moves on the blade.
    """

    plan: Plan
    changes: tuple[Sentence, ...]
    missing: tuple[Sentence, ...]
    faults: tuple[Fault, ...]
    moved: tuple[Moved, ...]

    @property
    def job(self) -> Job:
        """The work that was changed."""
        return self.plan.job


def suit(job: Job, shop: Shop) -> Suited:
    """Return ``job`` with bites and passes that the shop's tools manage, and with the heats that these take.

    Steps that they manage stay as they are, but for their minutes at heat. What a photograph of the forged bar taught
    is left out: the fitted work is for another bar.

    Raises
    ------
    JobError
        If its forging cannot be, before or after.
    """
    job = job.unseen
    found = _suited(job, shop, MANAGED, EASES[0])
    return found if found.plan.possible else _suited(job, shop, *EASES)


def _suited(job: Job, shop: Shop, most: float, ease: float) -> Suited:
    """Return ``job`` with those steps changed that ask for over ``most`` of what the tools give: to ``ease`` of it."""
    steps: list[Step] = []
    changes: list[Sentence] = []
    missing: list[Sentence] = []
    bar, fire = job.history.start, UNTOLD
    for number, step in enumerate(job.forging, start=1):
        bar = _as_done(job, step).out_of_fire(bar)
        fire = step.heat.temperature if step.heat else fire
        done = _Trier(job, shop, fire, ease)
        others: tuple[Step, ...] = (step,)
        if not done.manages(step, bar, most):
            others = step.in_bites(bar, done)
            told = say("; ".join(["{}"] * len(others)), *(each.words for each in others))
            if others:
                changes.append(say("step {}, {}: instead {}", number, step.words, told))
            elif not done.manages(step, bar, MANAGED):
                missing.append(say("step {}, {}: no other bites or passes help", number, step.words))
            others = others or (step,)
        for each in others:
            bar = _as_done(job, each).after(bar)
        steps += others
    fitted = _with_planned_heats(job.model_copy(update={"forging": tuple(steps)}), shop)
    plan = make_plan(fitted, shop)
    return Suited(plan, tuple(changes), tuple(missing), _faults(fitted), pattern_moved(job, fitted))


def _as_done(job: Job, step: Step) -> Step:
    return job.forge.step(step) if job.forge else step


@dataclass(frozen=True)
class _Trier:
    """Tells what a step leaves of a bar, out of a fire of so many °C; None where the tools do not manage it."""

    job: Job
    shop: Shop
    fire: float
    ease: float

    def __call__(self, step: Step, bar: Bar) -> Bar | None:
        try:
            return _as_done(self.job, step).after(bar) if self.manages(step, bar, self.ease) else None
        except JobError:
            return None

    def manages(self, step: Step, bar: Bar, most: float) -> bool:
        """Say whether a step asks for no more than ``most`` of what the tools can give."""
        passes = tried(self.shop, _as_done(self.job, step), bar, self.fire)
        return all(each.possible and each.load <= most for each in passes)


def _with_planned_heats(job: Job, shop: Shop) -> Job:
    """Return the job whose heats are as long as the plan says: more scale, and so a little less bar."""
    plan = make_plan(job, shop)
    steps = (
        step.model_copy(update={"heat": planned_heat(planned)}) if planned.possible and planned.passes else step
        for step, planned in zip(job.forging, plan.steps, strict=True)
    )
    return job.model_copy(update={"forging": tuple(steps)})


def _faults(job: Job) -> tuple[Fault, ...]:
    try:
        check_job(job)
    except JobError as error:
        return error.faults
    return ()
