"""Smooth curves through points, and where a curve passes 0: to import scipy's takes longer than all they are for."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from preview.base.arrays import Array

HALVINGS = 40


def refined(values: Array, count: int) -> Array:
    """Return ``count`` evenly spaced values, ends included, of the cubic splines through evenly spaced ``values``.

    Splines run along the first axis of ``values`` ``(n, m)``, n four or more; beside their ends the third derivative is
    steady ("not a knot": de Boor, A Practical Guide to Splines, 1978, chapter IV; from memory).

    Examples
    --------
    >>> refined(np.arange(5.0)[:, None] ** 3, 9)[1].tolist()
    [0.125]
    """
    values = np.asarray(values, dtype=float)
    last = len(values) - 1
    # second derivatives m: m[i-1] + 4 m[i] + m[i+1] = 6 (second difference), from one end to the other
    bends = np.zeros_like(values)
    bends[1:last] = np.diff(values, 2, axis=0)  # those beside the ends are just these
    left = np.zeros(last)
    for row in range(2, last - 1):
        left[row] = 1 / (4 - left[row - 1])
        bends[row] = (6 * bends[row] - bends[row - 1]) * left[row]
    for row in range(last - 2, 1, -1):
        bends[row] -= left[row] * bends[row + 1]
    bends[0], bends[last] = 2 * bends[1] - bends[2], 2 * bends[last - 1] - bends[last - 2]
    place = np.linspace(0, last, count)
    piece = np.minimum(place.astype(np.intp), last - 1)
    over = place - piece
    under = 1 - over
    weights = np.stack([under, over, (under**3 - under) / 6, (over**3 - over) / 6], axis=1)
    told = np.stack([values[:-1], values[1:], bends[:-1], bends[1:]], axis=1)
    starts = np.searchsorted(piece, np.arange(last + 1))
    return np.concatenate([weights[low:high] @ each for each, (low, high) in zip(told, pairwise(starts), strict=True)])


def monotone(x: Array, y: Array, at: Array) -> Array:
    """Return the smooth curve through three points or more, ``x`` rising, at places among them.

    Cubic pieces that rise and fall only where the points do. Slopes at the points are weighted harmonic means (Fritsch
    & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304); at the ends those of the parabola through three points,
    held back where that would overshoot (Moler, Numerical Computing with MATLAB, 2004, chapter 3). Both from memory.

    Examples
    --------
    >>> monotone(np.array([0, 1, 2]), np.array([0, 1, 1]), np.array([0.5, 1.5])).tolist()
    [0.6875, 1.0]
    """
    x, y, at = (np.asarray(each, dtype=float) for each in (x, y, at))
    wide = np.diff(x)
    rise = np.diff(y) / wide
    one, other = 2 * wide[1:] + wide[:-1], wide[1:] + 2 * wide[:-1]
    turns = rise[:-1] * rise[1:] <= 0
    before, after = np.where(turns, 1.0, rise[:-1]), np.where(turns, 1.0, rise[1:])
    inner = np.where(turns, 0.0, (one + other) / (one / before + other / after))
    slope = np.concatenate([[_at_end(wide[:2], rise[:2])], inner, [_at_end(wide[:-3:-1], rise[:-3:-1])]])
    number = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(wide) - 1)
    width = wide[number]
    share = (at - x[number]) / width
    rest = 1 - share
    return np.asarray(
        rest**2 * ((1 + 2 * share) * y[number] + share * width * slope[number])
        + share**2 * ((1 + 2 * rest) * y[number + 1] - rest * width * slope[number + 1])
    )


def _at_end(wide: Array, rise: Array) -> float:
    """Return the slope at an end, of the two pieces nearest to it."""
    slope = ((2 * wide[0] + wide[1]) * rise[0] - wide[0] * rise[1]) / (wide[0] + wide[1])
    if slope * rise[0] <= 0:
        return 0.0
    return float(3 * rise[0] if rise[0] * rise[1] < 0 and abs(slope) > 3 * abs(rise[0]) else slope)


def crossing(curve: Callable[[float], float], low: float, high: float) -> float:
    """Return the place between ``low`` and ``high`` where a rising ``curve`` passes 0, by halving what is left.

    It is found to some 1e-12 of the distance between the two; ``curve`` is not below 0 there.

    Examples
    --------
    >>> round(crossing(lambda x: x * x - 2, 0, 2), 9)
    1.414213562
    """
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if curve(middle) >= 0 else (middle, high)
    return high
