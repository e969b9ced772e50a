"""The lower and the upper line of a closed outline, each running one way from its left end to its right end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Array


@dataclass(frozen=True, eq=False)
class Chains:
    """What bounds an outline below and above, ``(n, 2)`` each, x never falling; vertical steps are kept.

    Parameters
    ----------
    lower, upper
        The lines, from left to right.
    overhang
        How far the outline reached back under or over itself, which is straightened, in its unit.
    """

    lower: Array
    upper: Array
    overhang: float = 0.0

    @classmethod
    def of(cls, ring: Array) -> Chains:
        """Take a ring ``(n, 2)``, closed without repeating its first point, apart at its ends left and right."""
        if not shapely.is_ccw(shapely.linearrings(ring)):
            ring = ring[::-1]
        x, y = ring.T
        near = 1e-6 * float(np.ptp(x))
        left, right = np.flatnonzero(x <= x.min() + near), np.flatnonzero(x >= x.max() - near)
        low_left, high_left = left[np.argmin(y[left])], left[np.argmax(y[left])]
        low_right, high_right = right[np.argmin(y[right])], right[np.argmax(y[right])]
        lower, over = _one_way(_between(ring, low_left, low_right))
        upper, under = _one_way(_between(ring, high_right, high_left)[::-1])
        return cls(lower, upper, max(over, under))

    @property
    def ends(self) -> tuple[float, float]:
        """Where it begins and ends, x."""
        return float(self.lower[0, 0]), float(self.lower[-1, 0])

    def low(self, x: Array) -> Array:
        """Return the lower line at ``x``."""
        return np.asarray(np.interp(x, *self.lower.T))

    def high(self, x: Array) -> Array:
        """Return the upper line at ``x``."""
        return np.asarray(np.interp(x, *self.upper.T))

    def width(self, x: Array) -> Array:
        """Return how far they are apart at ``x``."""
        return self.high(x) - self.low(x)

    @property
    def upside_down(self) -> Chains:
        """The same outline, mirrored top to bottom."""
        return Chains(self.upper * (1, -1), self.lower * (1, -1), self.overhang)

    @property
    def back_to_front(self) -> Chains:
        """The same outline, mirrored left to right."""
        return Chains((self.lower * (-1, 1))[::-1], (self.upper * (-1, 1))[::-1], self.overhang)

    def moved(self, x: float, y: float, scale: float) -> Chains:
        """Return the same outline about another origin, then ``scale`` times as large."""
        lower, upper = ((line - (x, y)) * scale for line in (self.lower, self.upper))
        return Chains(lower, upper, self.overhang * scale)


def _between(ring: Array, first: int, last: int) -> Array:
    count = (last - first) % len(ring) + 1
    return np.roll(ring, -first, axis=0)[:count]


def _one_way(line: Array) -> tuple[Array, float]:
    """Return a line that runs left to right, walked from its right end, and how far it turned back."""
    walked = line[::-1]
    x = walked[:, 0]
    reached = np.minimum.accumulate(x)
    keep = np.flatnonzero(x <= reached)
    points = []
    for here, after in zip(keep, [*keep[1:], keep[-1] + 1], strict=True):
        points.append(walked[here])
        if after > here + 1:  # it came back over itself: step to where it passes this place again
            (x0, y0), (x1, y1) = walked[after - 1], walked[after]
            share = (x0 - x[here]) / (x0 - x1) if x0 != x1 else 1.0
            points.append(np.array([x[here], y0 + share * (y1 - y0)]))
    return np.array(points)[::-1], float((x - reached).max())


def cut(line: Array, at: float) -> tuple[Array, Array]:
    """Return the parts of a line of `Chains` before and after x = ``at``; a step there goes to the part before."""
    x = line[:, 0]
    before, after = line[x < at - 1e-9], line[x > at + 1e-9]
    there = line[np.abs(x - at) <= 1e-9]
    if not len(there):
        there = np.array([[at, np.interp(at, x, line[:, 1])]])
    return np.concatenate([before, there]), np.concatenate([there[-1:], after])
