"""Whether a pattern is its own mirror: where it is not, letters on one of a blade's faces stand backwards."""

from __future__ import annotations

import numpy as np

from preview.base.cache import kept
from preview.pattern.raster import Cells

ROWS = 200
"""Rows of the picture that are enough to tell."""

ALIKE = 0.05
"""Share of the figure that may differ, our own choice: rims that fall between cells are no other figure."""


@kept
def is_own_mirror(cells: Cells) -> bool:
    """Say whether a pattern, turned left for right, is the same again, there or further along.

    All but the powder that holds most is the figure. A wave that runs on round the picture's end is its own mirror,
    and so is a star that stands off its middle.
    """
    shares = cells.shares[:, :: max(1, cells.shares.shape[1] // ROWS)]
    ahead = np.fft.rfft(shares, axis=2)
    # of a real row the mirror is the conjugate, so this is how well both agree at each shift along the picture
    agree = np.fft.irfft((ahead * ahead).sum(axis=(0, 1)), shares.shape[2]).max()
    differ = float((shares.astype(float) ** 2).sum() - agree)
    held = shares.sum(axis=(1, 2), dtype=float)
    return differ <= ALIKE * float(held.sum() - held.max())
