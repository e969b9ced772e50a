"""How fine a pattern is: which share of a powder's area lies in lines narrower than a width."""

from __future__ import annotations

from math import log, log2

import numpy as np

from preview.base.arrays import Mask
from preview.base.cache import kept
from preview.base.progress import counted
from preview.pattern.narrow import too_narrow
from preview.pattern.raster import Cells, Raster, averaged

FINE_SHARE = 0.02
"""A powder's finest width is the one that this share of its area lies below."""

LADDER = tuple(0.1 * 1.15**rung for rung in range(33))
"""Widths (mm) among which a powder's finest is looked for: 0.1 to 8.8."""

_HALVINGS = 5
"""Halvings that leave a single one of the ladder's 32 steps."""

ENOUGH = 12
"""Cells across a width before they are averaged: a twelfth is finer than the ladder's steps."""

_Size = tuple[float, float]
"""Width and height, mm."""


def _too_fine(cells: Cells, name: str, cell: _Size, width: float) -> Mask:
    return too_narrow(np.pad(cells.shares[cells.classes.index(name)] >= 0.5, 1, mode="edge"), width, cell)


@kept
def _share_below(cells: Cells, name: str, cell: _Size, width: float) -> float:
    whole = cells.shares[cells.classes.index(name)] >= 0.5
    if not whole.any() or whole.all():
        return 0.0
    wide, high = (2 ** int(log2(max(1.0, width / (ENOUGH * size)))) for size in cell)
    if wide > 1 or high > 1:
        cells, cell = averaged(cells, wide, high), (cell[0] * wide, cell[1] * high)
    # what is wide enough, of the area at full resolution: averaging loses fine lines
    member = cells.shares[cells.classes.index(name)] >= 0.5
    wide_enough = member & ~_too_fine(cells, name, cell, width)[1:-1, 1:-1]
    return float(np.clip(1 - wide_enough.sum() * wide * high / whole.sum(), 0, 1))


def share_below(raster: Raster, name: str, scale: tuple[float, float], width: float) -> float:
    """Return the share of a powder's area that is narrower than ``width`` (mm): lost to an opening by such a disc.

    ``scale`` turns the can's millimetres, along the picture's width and height, into those of the blade. The cells'
    size there is rounded to a step of `LADDER`'s half, which keeps what was measured good for small changes.
    """
    return _share_below(raster.cells, name, _rounded(_on_blade(raster, scale)), width)


def too_fine(raster: Raster, name: str, scale: tuple[float, float], width: float) -> Mask:
    """Return where a powder lies in lines narrower than ``width`` (mm), over the raster's cells and a rim of one."""
    return _too_fine(raster.cells, name, _on_blade(raster, scale), width)


def fineness(raster: Raster, name: str, scale: tuple[float, float], limit: float) -> tuple[float, float]:
    """Return a powder's finest width (mm), a rung of `LADDER`, and its share of area under ``limit`` mm."""
    low, high = 0, len(LADDER) - 1
    if share_below(raster, name, scale, LADDER[high]) <= FINE_SHARE:
        return LADDER[high], 0.0
    for _ in counted("line widths", range(_HALVINGS)):
        middle = (low + high) // 2
        if share_below(raster, name, scale, LADDER[middle]) > FINE_SHARE:
            high = middle
        else:
            low = middle
    return LADDER[low], share_below(raster, name, scale, limit)


def _on_blade(raster: Raster, scale: tuple[float, float]) -> _Size:
    return raster.cell[0] * scale[0], raster.cell[1] * scale[1]


def _rounded(cell: _Size) -> _Size:
    """Return a cell's size to the nearest of steps half as wide as the ladder's."""
    step = 1.15**0.5
    wide, high = (float(step ** round(log(size, step))) if np.isfinite(size) and size > 0 else size for size in cell)
    return wide, high
