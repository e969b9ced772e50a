"""What is forecast of a bar's sizes, and what those that were found teach of the forge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.forge.fitting import CALIPER_ERROR, FLOW_ERROR, FLOW_SPREAD_ERROR, PASS_SPREAD_ERROR
from preview.forge.things import uncertain_things
from preview.job.calibration import SETTLING, Calibration
from preview.job.job import Job
from preview.log.log import Blade

FLOW = ("spread", "friction")

SAWN_ERROR, MILLED_ERROR = 5.0, 1.0
"""How far off the work a bar's ends are sawn and its sides milled, mm (our own choice, no published source)."""


@dataclass(frozen=True, eq=False)
class BarForecast:
    """What is forecast of a bar.

    Parameters
    ----------
    sizes
        Length, width and thickness, (3,), mm.
    effects
        What a standard deviation of each thing that is not known of the forge and the can does to them, (6, 3), mm:
        of `FLOW`, then of `preview.job.calibration.SETTLING`.
    correlations
        Of these things, (6, 6).
    """

    sizes: Array
    effects: Array
    correlations: Array

    @property
    def errors(self) -> Array:
        """Standard deviations of the sizes, (3,), mm."""
        variance = np.einsum("ij,ik,kj->j", self.effects, self.correlations, self.effects)
        return np.asarray(np.sqrt(np.maximum(variance, 0)))


def forecast_bar(job: Job, step: int) -> BarForecast:
    """Return what is forecast of the bar after so many steps, to first order in what is not known."""
    sizes = np.array(job.history.bars[step].size)
    forge = job.forge or Calibration()
    things = {thing.name: thing for thing in uncertain_things(job)}
    names = (*FLOW, *SETTLING)
    effects = np.zeros((len(names), 3))
    for row, thing in enumerate(things[name] for name in names):
        if thing.error:
            effects[row] = (np.array(thing.moved(thing.step).history.bars[step].size) - sizes) / thing.at
    correlations = np.eye(len(names))
    correlations[:2, :2] = [[1.0, forge.correlation], [forge.correlation, 1.0]]
    correlations[2:, 2:] = job.settling.correlations
    return BarForecast(sizes, effects, correlations)


def taught(blade: Blade) -> Calibration | None:
    """Return what a blade alone teaches of the forge; None where nothing of it was measured.

    Where no pass of it was read and no mark, the sizes of its finished bar tell of the spread: its forecast before
    anything was measured, bettered by what was found (the usual linear estimate), in logarithms of the sizes, in
    which spread counts in proportion. The thickness is what the smith pressed it to. Every pass spreads unlike the
    others, and how far ends and sides were milled is known by the work alone, so one bar teaches little.
    """
    learnt, bar = blade.learnt, blade.record.bar
    if bar is None or (learnt is not None and learnt.rows):
        return learnt
    known = learnt or Calibration(date=blade.record.day.isoformat())
    job = _pressed_to(blade.job.unseen.model_copy(update={"forge": known}), bar[2])
    forecast = forecast_bar(job, len(job.forging))
    sizes = forecast.sizes[:2]
    effects = forecast.effects[:, :2] / sizes
    if not effects[0].any():
        return learnt  # its steps say of their own how far it spreads
    history, mills = job.history, any(step.mills for step in job.forging)
    passes = sum(
        len(step.squeezes(met)) for step, met in zip(history.steps, history.bars, strict=False) if not step.welds
    )
    read = np.hypot(CALIPER_ERROR, np.array([SAWN_ERROR, MILLED_ERROR]) * mills) / sizes
    scatter = effects[0] * (PASS_SPREAD_ERROR / known.spread_factor_error / np.sqrt(max(passes, 1)))
    prior = forecast.correlations
    gain = prior @ effects @ np.linalg.inv(
        effects.T @ prior @ effects + np.diag(np.square(read)) + np.outer(scatter, scatter)
    )  # fmt: skip
    moved = gain @ np.log(np.array(bar[:2]) / sizes)
    left = np.sqrt(np.diag(prior - gain @ effects.T @ prior))
    return known.model_copy(
        update={
            "rows": 1,
            "spread_factor": float(np.clip(known.spread_factor + moved[0] * known.spread_factor_error, 0.05, 3)),
            "spread_factor_error": float(np.hypot(left[0] * known.spread_factor_error, FLOW_SPREAD_ERROR)),
            "friction": float(np.clip(known.friction + moved[1] * known.friction_error, 0, 1)),
            "friction_error": float(np.hypot(left[1] * known.friction_error, FLOW_ERROR)),
        }
    )


def _pressed_to(job: Job, thickness: float) -> Job:
    """Return ``job`` with the last step that sets the bar's thickness leaving it so thick (mm), as far as it can be."""
    more = thickness - job.history.bar.thickness
    for number in reversed(range(len(job.forging))):
        step = job.forging[number].leaving_more(more)
        if step != job.forging[number]:
            changed = job.model_copy(update={"forging": (*job.forging[:number], step, *job.forging[number + 1 :])})
            try:
                _ = changed.history.bar
            except JobError:
                return job
            return changed
    return job
