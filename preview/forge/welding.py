"""Fitting how a can filled, settled and scaled to what was weighed and measured of it, with `Unsure` as the prior."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import RequestError
from preview.base.units import Sentence, say
from preview.forge.readings import CAN_COLUMNS, CanReading
from preview.forging.history import History
from preview.job.calibration import SETTLING, Settling
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY

SCALES_ERROR, ROOM_ERROR = 1.0, 0.005
"""Standard deviations of a weighing, g, and of the can's inside volume, as a share of it: a tenth of a millimetre on
each of three sides of some 40 mm (common practice, no published source)."""

SHELL_ERROR = 0.5
"""Standard deviation of an outside size of a welded can, mm: its walls are no longer flat (common practice, no
published source)."""

CLINGING = 0.1
"""Share of the scale, or as much flux, that is still on when a can is weighed (common practice, no published
source)."""

STEPS = (1e-4, 1e-4, 1e-4, 1e-2)
"""By how much each of `SETTLING` is moved to see what it does to the readings."""


def fit_settling(job: Job, read: CanReading) -> tuple[Settling, tuple[Sentence, ...]]:
    """Fit what `Settling` holds to a can's readings: Gauss and Newton's least squares, the prior as further readings.

    Returns
    -------
    Settling
        With its standard errors and correlations, those of the linearised problem.
    tuple of Sentence
        What was learnt, in words.

    Raises
    ------
    RequestError
        If the job welds no powder, or the powder weighs more than solid steel would.
    """
    weld = next((number for number, step in enumerate(job.forging) if step.welds), None)
    if weld is None:
        raise RequestError.at("readings", "this forging welds no powder, so a can's readings say nothing")
    forge = None if job.forge is None else job.forge.model_copy(update={"settling": None})
    job = job.model_copy(update={"forge": forge})
    prior = job.settling
    prior_errors = np.array([getattr(prior, f"{name}_error") for name in SETTLING])
    weighed = [getattr(read, name) for name in CAN_COLUMNS]
    known = np.array([value is not None for value in weighed])
    measured = np.array(weighed, dtype=float)[known]
    density = _density(job)
    solid = float(np.prod(job.can.inside)) / 1000 * density
    if read.powder_weight is not None and not 0.2 * solid < read.powder_weight < solid:
        problem = f"the can holds {solid:.0f} g of solid steel; between a fifth and all of that is needed, given "
        raise RequestError.at("powder_weight", f"{problem}{read.powder_weight:g} g")

    def predicted(values: Array) -> Array:
        settling = prior.model_copy(update=dict(zip(SETTLING, values.tolist(), strict=True)))
        return np.asarray(_predicted(job, weld, settling, density)[known])

    start = np.array([getattr(prior, name) for name in SETTLING])
    values, errors = start, np.ones(int(known.sum()))
    free = np.flatnonzero(prior_errors)
    for _ in range(6):
        here = predicted(values)
        errors = _errors(read)[known]
        columns = [(predicted(values + step) - predicted(values - step)) / (2 * step.sum()) for step in np.diag(STEPS)]
        jacobian = np.stack(columns, axis=1)[:, free] / errors[:, None]
        information = jacobian.T @ jacobian + np.diag(1 / prior_errors[free] ** 2)
        off = jacobian.T @ ((measured - here) / errors) + (start - values)[free] / prior_errors[free] ** 2
        values = values.copy()
        values[free] += np.linalg.solve(information, off)
        values[[0, 3]] = np.clip(values[[0, 3]], [0.3, 0.0], [1 / job.can.fill_density - 1e-3, 3.0])
    covariance = np.zeros((4, 4))
    covariance[np.ix_(free, free)] = np.linalg.inv(information)
    spread = np.sqrt(covariance.diagonal())
    correlations = covariance / np.maximum(np.outer(spread, spread), 1e-30)
    found = Settling(
        **dict(zip(SETTLING, values.tolist(), strict=True)),
        **{f"{name}_error": float(error) for name, error in zip(SETTLING, spread, strict=True)},
        correlation=tuple(np.clip(correlations[np.triu_indices(4, 1)], -1, 1).tolist()),
    )
    return found, _words(job, read, prior, found, (measured - predicted(values)) / errors)


def _density(job: Job) -> float:
    """Return the density of the solid powders, g/cm3: their mean, since each fills some of the can."""
    return float(np.mean([powder.density for powder in job.powders]))


def _predicted(job: Job, weld: int, settling: Settling, density: float) -> Array:
    """Return what would be read, in the order of `CAN_COLUMNS`: g and mm."""
    can = settling.can(job.can)
    steps = tuple(map(settling.step, job.forging[: weld + 1]))
    history = History(can.bar(), steps)
    lost = sum(bar.volume - met.volume for bar, met in zip(history.bars, history.met, strict=False))
    powder = can.fill_density * float(np.prod(can.inside)) / 1000 * density
    return np.array([powder, *history.bar.size, lost / 1000 * STEEL_DENSITY])


def _errors(read: CanReading) -> Array:
    powder = np.hypot(SCALES_ERROR, ROOM_ERROR * (read.powder_weight or 0))
    scale = np.hypot(2 * SCALES_ERROR, CLINGING * (read.scale_weight or 0))
    return np.array([powder, *[SHELL_ERROR] * 3, scale])


def _words(job: Job, read: CanReading, prior: Settling, found: Settling, deviations: Array) -> tuple[Sentence, ...]:
    stated = job.can.fill_density
    words = [
        f"The can fills to {found.fill_factor * stated:.3f} ± {found.fill_factor_error * stated:.3f} of solid steel; "
        f"before measuring {stated:g} ± {prior.fill_factor_error * stated:.2g}.",
        f"Of the settling {found.along:+.0%} ± {found.along_error:.0%} more goes along the can than was said, and "
        f"{found.across:+.0%} ± {found.across_error:.0%} more across it; before measuring ± {prior.along_error:.0%}.",
    ]
    if read.scale_weight is not None:
        words.append(
            f"The fire takes {found.scale_factor:.2f} ± {found.scale_factor_error:.2f} of the scale that is reckoned; "
            f"before measuring 1 ± {prior.scale_factor_error:g}."
        )
    if read.powder_weight is None:
        words.append("The powder was not weighed: its fill rests on the welded sizes alone.")
    if read.welded_length is None or read.welded_thickness is None:
        words.append("Length and thickness of the welded can were not both read: how it settles is hardly known.")
    words.append(
        "This is counted from now on: leave the can's fill density and shares as they are. It holds for this can, and "
        "for others that are filled and welded alike."
    )
    if np.abs(deviations).max() > 3:
        words.append("The can's readings do not fit each other: is one misread, or the can's size another?")
    return tuple(say("{}", word) for word in words)
