"""What is narrower than a width: what an opening by such a disc takes away."""

from __future__ import annotations

from math import ceil, sqrt

import numpy as np

from preview.base.arrays import Mask

TOUCH = 1e-6
"""Share of a reach by which a cell may lie beyond it and still touch it: rounding."""


def too_narrow(member: Mask, width: float, cell: tuple[float, float] = (1.0, 1.0)) -> Mask:
    """Return where ``member``, in cells so wide and high, is narrower than ``width``; beyond the rim it goes on."""
    # distances run between cells' middles: the deepest of a strip lies a quarter of a cell short of half its width, on
    # the mean, and half a cell within its boundary
    core = _within(member, width / 2 + min(cell) / 4, cell)
    away = _within(~core, (width / 2 + min(cell) / 2) * (1 + TOUCH), cell)
    return np.asarray(member & away)


def _within(inside: Mask, reach: float, cell: tuple[float, float]) -> Mask:
    """Return the cells of ``inside`` about which all nearer than ``reach`` lie in it too, as if all beyond the rim did.

    The disc is taken row by row from its outermost to its middle one, each as long as the one before or longer.
    """
    wide, high = (min(size, reach) for size in cell)  # a larger one reaches no further
    found, run, half = np.ones_like(inside), inside, 0
    for down in range(min(ceil(reach / high), len(inside)) - 1, -1, -1):
        longest = ceil(sqrt(reach**2 - (down * high) ** 2) / wide) - 1
        for _ in range(longest - half):
            longer = run.copy()
            longer[:, 1:] &= run[:, :-1]
            longer[:, :-1] &= run[:, 1:]
            run = longer
        half = longest
        found[down:] &= run[: len(run) - down]
        found[: len(run) - down] &= run[down:]
    return found
