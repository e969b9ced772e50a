"""One forge over many blades: where its blades lie as a rule, and how far one lies from the next.

What each blade taught by itself is a fit that starts from what forges usually do. That start is taken out of each,
and counted once for all: blade i tells y_i with variance v_i, blades scatter round the forge's own mean by tau, so that
y_i is normal round the mean with tau**2 + v_i. The mean has the usual start, tau is integrated over with a prior of its
own (the usual random-effects model, after DerSimonian & Laird 1986 and Gelman 2006, both from memory). What is forecast
is the next blade, which scatters too.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import RequestError
from preview.forge.fitting import FLOW_ERROR, FLOW_SPREAD_ERROR
from preview.job.calibration import (
    PRIOR_FRICTION,
    PRIOR_FRICTION_ERROR,
    PRIOR_SPREAD_ERROR,
    PRIOR_SPREAD_FACTOR,
    Calibration,
)

SCATTER = 0.5
"""How far blades of one forge are taken to lie apart before any is known, as a share of how far forges do: the scale of
a half-normal prior (our own choice, no published source)."""

FLOW = (
    ("spread_factor", (PRIOR_SPREAD_FACTOR, PRIOR_SPREAD_ERROR), FLOW_SPREAD_ERROR),
    ("friction", (PRIOR_FRICTION, PRIOR_FRICTION_ERROR), FLOW_ERROR),
)
"""What is learnt of the press: its name, what forges usually do, and the flow law's own error."""

MOST = {"spread_factor": 3.0, "friction": 1.0}

STEPS = 400
"""Steps of the integral over the scatter."""


def forge_over(learnt: Sequence[Calibration]) -> Calibration:
    """Return what is known of the forge for its next blade, from what each blade taught by itself, the oldest first.

    Spread, friction and tones with the scatter from blade to blade in their errors; the can's settling is that of the
    last blade whose can was measured.

    Raises
    ------
    RequestError
        If nothing was learnt of any blade.
    """
    flow = [each for each in learnt if each.rows]
    known: dict[str, float] = {}
    for name, prior, common in FLOW if flow else ():
        values, errors = (np.array([getattr(each, key) for each in flow]) for key in (name, f"{name}_error"))
        found, error = next_one(values, errors, prior, common)
        known |= {name: float(np.clip(found, 0.01, MOST[name])), f"{name}_error": error}
    cans = [each.settling for each in learnt if each.settling is not None]
    coupons = [(each.bright, each.dark) for each in learnt if each.bright is not None and each.dark is not None]
    if not (flow or cans or coupons):
        raise RequestError.at(
            "log", "nothing was learnt of the blades in it: their bars' sizes, readings, marks or a coupon are needed"
        )
    if coupons:
        last = next(each for each in reversed(learnt) if each.bright is not None)
        for name, tones in zip(("bright", "dark"), np.array(coupons, dtype=float).T, strict=True):
            scatter = float(tones.std(ddof=1)) if len(tones) > 1 else getattr(last, f"{name}_error")
            known |= {name: float(tones.mean()), f"{name}_error": scatter}
    return Calibration(
        date=max(each.date for each in learnt),
        rows=sum(each.rows for each in flow),
        settling=cans[-1] if cans else None,
        **known,
    )


def next_one(values: Array, errors: Array, prior: tuple[float, float], common: float) -> tuple[float, float]:
    """Return what the next blade is forecast to have, and its standard deviation.

    Parameters
    ----------
    values, errors
        What blades taught, each by a fit that started from ``prior``, (blades,).
    prior
        What forges usually do, and how far they lie apart.
    common
        The error that all have alike, which no number of blades takes away; it is in ``errors`` as well.
    """
    usual, apart = prior
    own = np.maximum(np.square(errors) - common**2, 1e-8)
    precision = 1 / own - 1 / apart**2
    told = precision > 1e-3 / apart**2  # a fit that is no surer than its start has learnt nothing
    variance = 1 / precision[told]
    values = (values[told] / own[told] - usual / apart**2) * variance
    scatter = np.linspace(0, 4 * SCATTER * apart, STEPS)
    each = np.square(scatter)[:, None] + variance
    certainty = (1 / each).sum(axis=1) + 1 / apart**2
    mean = ((values / each).sum(axis=1) + usual / apart**2) / certainty
    off = (np.square(values - mean[:, None]) / each).sum(axis=1) + np.square((mean - usual) / apart)
    log = -0.5 * (off + np.log(each).sum(axis=1) + np.log(certainty) + np.square(scatter / (SCATTER * apart)))
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    middle = float(weight @ mean)
    spread = weight @ (1 / certainty + np.square(scatter) + np.square(mean - middle))
    return middle, float(np.sqrt(spread + common**2))


def forge_words(found: Calibration, blades: int) -> str:
    """Return in words what is known of the forge from so many blades."""
    text = (
        f"From {blades} blades: the next one's spread is {found.spread_factor:.2f} ± {found.spread_factor_error:.2f} "
        f"of the law's, its friction factor {found.friction:.2f} ± {found.friction_error:.2f}; how far your blades lie "
        "apart is in that."
    )
    if found.bright is not None:
        text += f" Lightness {found.bright:.0f} and {found.dark:.0f} (black 0, white 100), as your coupons' mean."
    if found.settling is not None:
        text += " How the can settles is that of the last one measured."
    return text
