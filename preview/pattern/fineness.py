"""How fine a pattern is: which share of a powder's area lies in lines narrower than a width."""

from __future__ import annotations

from math import log

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.pattern.raster import Raster

FINE_SHARE = 0.02
"""A powder's finest width is the one that this share of its area lies below."""

LADDER = tuple(0.1 * 1.15**rung for rung in range(33))
"""Widths (mm) among which a powder's finest is looked for: 0.1 to 8.8."""


@kept
def _depths(raster: Raster, name: str, scale: tuple[float, float]) -> tuple[Array, tuple[float, float]] | None:
    """Return how deep each of a powder's cells lies in it (mm), and the cell's size; None where it is all or nothing.

    ``scale`` turns the can's millimetres, along the picture's width and height, into those of the blade.
    """
    from edt import edt

    member = np.pad(raster.shares[raster.classes.index(name)] >= 0.5, 1, mode="edge")
    if not member.any() or member.all():
        return None
    cell = (raster.cell[1] * scale[1], raster.cell[0] * scale[0])
    # distances run to cell centres; half a cell brings them to the boundary
    return edt(member, anisotropy=cell) - min(cell) / 2, cell


@kept
def share_below(raster: Raster, name: str, scale: tuple[float, float], width: float) -> float:
    """Return the share of a powder's area that is narrower than ``width`` (mm): lost to an opening by such a disc."""
    measured = _depths(raster, name, scale)
    if measured is None:
        return 0.0
    return float(too_fine(raster, name, scale, width).sum() / (measured[0] > 0).sum())


def too_fine(raster: Raster, name: str, scale: tuple[float, float], width: float) -> Mask:
    """Return where a powder lies in lines narrower than ``width`` (mm), over the raster's cells and a rim of one."""
    from edt import edtsq

    measured = _depths(raster, name, scale)
    if measured is None:
        return np.zeros([size + 2 for size in raster.shares.shape[1:]], dtype=bool)
    depth, cell = measured
    # the deepest centre of a strip lies a quarter of a cell short of half its width, on the mean
    core = depth >= width / 2 - min(cell) / 4
    member = depth > 0
    if not core.any():
        return np.asarray(member)
    return np.asarray(member & (edtsq(~core, anisotropy=cell) > (width / 2 + min(cell) / 2) ** 2))


def fineness(raster: Raster, name: str, scale: tuple[float, float], limit: float) -> tuple[float, float]:
    """Return a powder's finest width (mm), a rung of `LADDER`, and its share of area under ``limit`` mm."""
    # the ladder and the rounded scale keep what was measured good for small moves of the grind
    held = _rounded(scale[0]), _rounded(scale[1])
    low, high = 0, len(LADDER) - 1
    if share_below(raster, name, held, LADDER[high]) <= FINE_SHARE:
        return LADDER[high], 0.0
    while high - low > 1:
        middle = (low + high) // 2
        if share_below(raster, name, held, LADDER[middle]) > FINE_SHARE:
            high = middle
        else:
            low = middle
    return LADDER[low], share_below(raster, name, held, limit)


def _rounded(scale: float) -> float:
    """Return ``scale`` to the nearest of steps half as wide as the ladder's."""
    step = 1.15**0.5
    return float(step ** round(log(scale, step))) if np.isfinite(scale) and scale > 0 else scale
