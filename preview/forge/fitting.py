"""Fitting spread and friction to what was measured, with the published laws as the prior.

Least squares on residuals over their standard deviations, with a redescending (Cauchy) loss, so that one bad row
is left aside rather than followed; the prior enters as two more residuals. Standard errors are those of the
linearised problem.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array, Mask
from preview.forge.readings import Reading
from preview.forging.press_flow import Pass, spread_share
from preview.job.calibration import (
    PRIOR_FRICTION,
    PRIOR_FRICTION_ERROR,
    PRIOR_SPREAD_ERROR,
    PRIOR_SPREAD_FACTOR,
    Calibration,
)

CALIPER_ERROR = 0.1
"""Standard deviation of a caliper reading at the anvil, mm (common practice, no published source)."""

BULGE_GAIN, BULGE_ERROR = 1.6, 0.25
"""How much further the sides part at mid-height and at the dies than the flow law has it, which is fitted to the inside
of the bar; and its scatter. From finite-element pressings (`tests/forge/test_fitting.py` repeats some of them)."""

PASS_SPREAD_ERROR, PASS_FRICTION_ERROR = PRIOR_SPREAD_ERROR, 0.15
"""How far one pass lies off its forge's spread and friction: bite, heat and scale differ from pass to pass. Of spread
as much as two published laws differ between one bite and another, which is what the prior rests on, so that a single
row counts no more than what is known before; of friction nearly as much as its prior (common practice, no published
source)."""

FLOW_ERROR = 0.06
"""How far off the friction factor is that the flow law needs to place marks as finite elements of known friction do
(`tests/forge/test_fitting.py`): it comes on top of what the marks' own scatter leaves open."""

FLOW_SPREAD_ERROR = 0.03
"""The same of the spread that widths at face and mid-height give: a law of another shape finds it so far off
(`tests/support/true_forge.py`)."""

FEW = 3
"""Passes under which the words say how much of the fit is what was known before."""

BAD_RESIDUAL = 3.0
"""Residual, in standard deviations, beyond which a reading counts for less and less."""


@dataclass(frozen=True)
class Residual:
    """What one reading says: row (counted from 1), quantity, measured less fitted (mm), and in standard deviations."""

    row: int
    quantity: str
    off: float
    deviations: float


@dataclass(frozen=True)
class Fit:
    """A fitted calibration, its residuals, and in words what the readings can and cannot tell."""

    calibration: Calibration
    residuals: tuple[Residual, ...]
    words: tuple[str, ...]


QUANTITIES = ("width_face", "width_mid", "length")


def _predicted(reading: Reading, factor: float, friction: float) -> Array:
    """Return what would be read after a pass, mm, in the order of `QUANTITIES`; NaN where nothing says it."""
    before, after = reading.before, reading.after
    width = before.width or 0.0
    share = min(factor * spread_share(reading.bite, width), 1.0)
    flow = Pass(before.thickness, after.thickness, width, share, friction)
    starts = [width if read is None else read for read in (before.width_face, before.width_mid)]
    sides, _ = flow.forward(np.array(starts) / 2, np.array([before.thickness / 2, 0.0]))
    flat = np.array(starts) * (flow.width_after / width)
    length = np.nan if before.length is None else before.length * flow.stretch
    return np.array([*(flat + BULGE_GAIN * (2 * sides - flat)), length])


def _measured(reading: Reading) -> Array:
    read = (getattr(reading.after, name) for name in QUANTITIES)
    return np.array([np.nan if value is None else value for value in read])


def _covariance(reading: Reading, friction: float) -> Array:
    """Return the covariance (3, 3), mm2, of measured less predicted: every size of the row is read with the same error.

    A size read before the pass shifts all predictions alike; that is worked out by differences, at ``friction``. So do
    the pass's own spread and friction. The bulge's own uncertainty moves face and mid-height against each other.
    """
    total = np.eye(3)
    bulge = _predicted(reading, 1.0, friction) - _predicted(reading, 1.0, 0.0)
    bulge = np.nan_to_num(bulge) * (BULGE_ERROR / BULGE_GAIN / CALIPER_ERROR)
    total += np.outer(bulge, bulge)
    step = 1e-3
    for spread_by, friction_by, error in ((step, 0.0, PASS_SPREAD_ERROR), (0.0, step, PASS_FRICTION_ERROR)):
        up, down = (_predicted(reading, 1.0 + side * spread_by, friction + side * friction_by) for side in (1, -1))
        shift = np.nan_to_num((up - down) / (2 * step)) * (error / CALIPER_ERROR)
        total += np.outer(shift, shift)
    for when in ("before", "after"):
        sizes = getattr(reading, when)
        for name in ("thickness",) if when == "after" else ("thickness", "length", "width_face", "width_mid"):
            value = getattr(sizes, name)
            if value is None:
                continue
            up, down = (
                _predicted(replace(reading, **{when: replace(sizes, **{name: value + side * step})}), 1.0, friction)
                for side in (1, -1)
            )
            shift = np.nan_to_num((up - down) / (2 * step))
            total += np.outer(shift, shift)
    return CALIPER_ERROR**2 * total


def fit_readings(readings: tuple[Reading, ...], date: str = "") -> Fit:
    """Fit spread and friction to caliper readings; see the module's heading."""
    rows: list[tuple[Reading, Array, Mask, Array]] = []

    def weighed(parameters: Array) -> Array:
        factor, friction = parameters
        return np.concatenate(
            [
                np.linalg.solve(root, (measured - _predicted(reading, factor, friction))[known])
                for reading, measured, known, root in rows
            ]
        )

    friction = PRIOR_FRICTION
    for _ in range(2):  # the errors depend on the friction a little: once as usual, once as found
        rows.clear()
        for reading in readings:
            measured = _measured(reading)
            known = np.isfinite(measured) & np.isfinite(_predicted(reading, 1.0, friction))
            rows.append(
                (reading, measured, known, np.linalg.cholesky(_covariance(reading, friction)[np.ix_(known, known)]))
            )
        values, covariance = _least_squares(weighed)
        friction = float(values[1])
    covariance += np.diag([FLOW_SPREAD_ERROR**2, FLOW_ERROR**2])
    calibration = _calibration(values, covariance, len(readings), date)
    residuals = []
    for number, (reading, measured, known, root) in enumerate(rows, start=1):
        off = (measured - _predicted(reading, calibration.spread_factor, calibration.friction))[known]
        deviations = off / np.sqrt((root @ root.T).diagonal())
        names = [name for name, each in zip(QUANTITIES, known, strict=True) if each]
        residuals += [Residual(number, *each) for each in zip(names, off.tolist(), deviations.tolist(), strict=True)]
    return Fit(calibration, tuple(residuals), _words(readings, calibration, tuple(residuals)))


def _calibration(values: Array, covariance: Array, rows: int, date: str) -> Calibration:
    errors = np.sqrt(covariance.diagonal())
    return Calibration(
        date=date,
        rows=rows,
        spread_factor=float(values[0]),
        spread_factor_error=float(errors[0]),
        friction=float(values[1]),
        friction_error=float(errors[1]),
        correlation=float(covariance[0, 1] / (errors[0] * errors[1])),
    )


def _least_squares(weighed: Callable[[Array], Array], extra: int = 0) -> tuple[Array, Array]:
    """Return spread factor, friction and ``extra`` free parameters (from 0), and their covariance."""
    from scipy.optimize import least_squares

    start = np.array([PRIOR_SPREAD_FACTOR, PRIOR_FRICTION, *np.zeros(extra)])
    prior = np.array([PRIOR_SPREAD_FACTOR, PRIOR_FRICTION])
    prior_errors = np.array([PRIOR_SPREAD_ERROR, PRIOR_FRICTION_ERROR])

    def weights(residuals: Array) -> Array:
        # on normal errors their mean is 0.96, the efficiency of Cauchy's loss that far out
        return np.asarray(1 / (1 + np.square(residuals / (1.5 * BAD_RESIDUAL))))

    def robust(parameters: Array) -> Array:
        # the square of these is Cauchy's loss, c**2 log(1 + (r/c)**2); the prior keeps the plain square
        off = weighed(parameters)
        held = np.sign(off) * BAD_RESIDUAL * np.sqrt(np.log1p(np.square(off / BAD_RESIDUAL)))
        return np.concatenate([held, (parameters[:2] - prior) / prior_errors])

    low = np.array([0.2, 0.0, *np.full(extra, -np.inf)])
    high = np.array([3.0, 1.0, *np.full(extra, np.inf)])
    found = least_squares(
        robust, start, bounds=(low, high), x_scale=np.array([0.1, 0.2, *np.full(extra, 0.5)]), xtol=1e-6
    )
    steps = np.array([1e-3, 1e-3, *np.full(extra, 1e-3)])
    columns = []
    for index, step in enumerate(steps):
        up, down = (np.array(found.x) for _ in range(2))
        up[index] += step
        down[index] -= step
        columns.append((weighed(up) - weighed(down)) / (2 * step))
    jacobian = np.stack(columns, axis=1)
    information = jacobian.T @ (weights(weighed(found.x))[:, None] * jacobian)
    information[[0, 1], [0, 1]] += 1 / prior_errors**2
    return np.asarray(found.x), np.asarray(np.linalg.inv(information))


def _words(readings: tuple[Reading, ...], found: Calibration, residuals: tuple[Residual, ...]) -> tuple[str, ...]:
    words = [
        f"Spread is {found.spread_factor:.2f} ± {found.spread_factor_error:.2f} of the published law's; before "
        f"measuring it could have been 1 ± {PRIOR_SPREAD_ERROR:g}.",
        f"Friction factor {found.friction:.2f} ± {found.friction_error:.2f}; before measuring {PRIOR_FRICTION:g} ± "
        f"{PRIOR_FRICTION_ERROR:g}.",
    ]
    if not any(reading.after.width_face and reading.after.width_mid for reading in readings):
        words.append(
            "No pass has both a width at the face and one at mid-height, so the bulge is not known: friction stays "
            "at what is usual."
        )
    elif found.friction_error > 0.7 * PRIOR_FRICTION_ERROR:
        words.append("The widths at face and mid-height differ too little to tell much of friction.")
    if not any(reading.after.length and reading.before.length for reading in readings):
        words.append("No lengths were read: spread rests on the widths alone.")
    if len(readings) < FEW:
        one = "one pass" if len(readings) == 1 else "two passes"
        words.append(
            f"This rests on {one}, and a pass may lie as far off its forge as forges lie apart: what is usual still "
            f"counts for {_prior_share(found):.0%}. Read {FEW} or more."
        )
    bad = sorted({residual.row for residual in residuals if abs(residual.deviations) > BAD_RESIDUAL})
    if bad:
        rows = f"Row {bad[0]} does" if len(bad) == 1 else f"Rows {', '.join(map(str, bad))} do"
        words.append(f"{rows} not fit the rest and count{'s' if len(bad) == 1 else ''} for little: is a size misread?")
    return tuple(words)


def _prior_share(found: Calibration) -> float:
    """Return how much of what is known of spread was known before, 0 to 1."""
    return float(min((found.spread_factor_error / PRIOR_SPREAD_ERROR) ** 2, 1.0))


def fit_placed(
    misfit: Callable[[float, float, Array], Array], marks: int, error: float, date: str = ""
) -> tuple[Calibration, float]:
    """Fit spread, friction and a photo's place on the bar to marks seen on it.

    Parameters
    ----------
    misfit
        Given spread factor, friction, and the place (right and up, mm, and turn, rad): seen less predicted places of
        the marks, (marks, 2), mm on the bar.
    marks
        Their number.
    error
        Standard deviation of a mark's place, mm.

    Returns
    -------
    Calibration
        With the number of marks as its rows.
    float
        Remaining misfit, rms, mm.
    """

    def off(parameters: Array) -> Array:
        factor, friction, right, up, turn = parameters
        return misfit(float(factor), float(np.clip(friction, 0, 1)), np.array([right, up, turn / 10]))

    values, covariance = _least_squares(lambda parameters: off(parameters).ravel() / error, extra=3)
    covariance[1, 1] += FLOW_ERROR**2
    left = float(np.sqrt(np.mean(np.square(off(values)).sum(axis=1))))
    return _calibration(values, covariance, marks, date), left
