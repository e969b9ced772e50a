"""Two photographs of one bar: whether what they show can be true of the same metal."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Sentence, mm, say
from preview.job.seen import MOSTLY, Seen

MOST = 3.0
"""How far apart (standard deviations of both, root mean square over the face) two photographs are still one bar's."""

LEAST_ERROR = 0.25
"""What each may be off by at least, mm, standard deviation: as an outline ground by hand lies off the drawn one."""


def contradiction(before: Seen, now: Seen) -> Sentence | None:
    """Say that another photograph shows the pattern elsewhere than one before it; None where both may be true."""
    rows, columns = np.shape(now.along)
    along = now.start[0] + now.spacing[0] * np.arange(columns)[None] - now.bar[0] / 2
    across = now.start[1] + now.spacing[1] * np.arange(rows)[:, None] - now.bar[1] / 2
    apart = np.subtract(before.moved(along, across), now.moved(along, across))
    far = np.square(apart).sum(axis=0)
    sure = sum(_variance(each, along, across) for each in (before, now))
    if np.mean(far / sure) <= MOST**2:
        return None
    words = (
        "It shows the pattern {} from where the photograph in use shows it, and both are sure to {} four times of "
        "five: is it the same bar, not forged since, and the face you say?"
    )
    apart_by, sure_to = (float(np.sqrt(np.mean(each))) for each in (far, sure))
    return say(words, mm(apart_by, form=".1f"), mm(MOSTLY * sure_to, form=".1f"))


def _variance(seen: Seen, along: Array, across: Array) -> Array:
    """Return the variance at places, mm2, of both ways together."""
    left = [np.square(seen.left_at(number, along, across)).sum(axis=0) for number in range(len(seen.left))]
    return np.asarray(LEAST_ERROR**2 + np.sum(left, axis=0))
