"""Bright figures of the pattern that lie wholly off the blade, and where in the bar they come out instead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Mask
from preview.base.results import Mm
from preview.face.origins import Origins, can_to_blade

LEAST_SHARE = 0.005
"""Share of the bright pattern that a figure has to be, or all of those that are left out together are worth no word."""

MOST_CELLS = 300
"""Cells of a figure that are carried to the blade: enough to tell where it lies."""

Beside = Literal["heel", "tip", "edge", "spine", "milled"]


@dataclass(frozen=True)
class LiesOff:
    """A figure of which nothing is on the blade.

    Parameters
    ----------
    beside
        Behind the heel, beyond the tip, over the edge or the spine; or milled off the bar before it is a blade.
    start, end
        Between which distances: from the heel or the tip outwards there, else along the blade from the heel, mm; 0
        where it is milled off.
    share
        How much of the bright pattern it is.
    """

    beside: Beside
    start: Mm
    end: Mm
    share: float


def lying_off(origins: Origins, bright: tuple[str, ...]) -> tuple[LiesOff, ...]:
    """Return the bright figures that lie wholly off the blade, the largest first.

    A figure is carried to the blade at the can's half height. None are told of dividers along the blade, whose pattern
    has no end, nor of those that touch the can's side, which may be the pattern's surround.
    """
    from scipy import ndimage

    if not origins.direction.upright:
        return ()
    raster = origins.laid
    held = raster.share_of(bright) > 0.5
    labels, count = ndimage.label(held)
    cells = np.bincount(labels.ravel(), minlength=count + 1)
    inner = labels[1:-1, 1:-1]
    at_rim = np.unique(np.concatenate([inner[0], inner[-1], inner[:, 0], inner[:, -1]]))
    whole = max(int(cells[1:].sum()), 1)
    figures = [n for n in range(1, count + 1) if cells[n] >= LEAST_SHARE * whole and n not in at_rim]
    if not figures:
        return ()
    boxes = ndimage.find_objects(labels)
    some = [_some_of(labels, n, boxes[n - 1]) for n in figures]
    row, column = np.concatenate(some).T
    x, y = in_can(origins, column, row)
    carried = can_to_blade(origins.ground, origins.history, np.stack([x, y, 0 * x], axis=-1))[:, :2]
    each_carried = np.split(carried, np.cumsum([len(each) for each in some])[:-1])
    found = [
        LiesOff(*place, float(cells[n] / whole))
        for n, places in zip(figures, each_carried, strict=True)
        for place in _place(origins, places)
    ]
    return tuple(sorted(found, key=lambda each: -each.share))


def _some_of(labels: NDArray[np.int32], label: int, box: tuple[slice, slice]) -> Array:
    """Return rows and columns ``(n, 2)`` of some of the cells of a figure that lies within ``box``."""
    cells = np.argwhere(labels[box] == label)
    some = cells[:: max(1, len(cells) // MOST_CELLS)]
    return np.asarray(some + [side.start for side in box], dtype=float)


def _place(origins: Origins, places: Array) -> Iterator[tuple[Beside, float, float]]:
    """Yield where a figure comes out whose cells go to ``places`` (n, 2), mm, if none of it is on the blade."""
    along, across = places.T
    there = np.isfinite(along)
    if not there.any():
        yield "milled", 0.0, 0.0
        return
    along, across = along[there], across[there]
    outline = origins.ground.blade.outline
    on_blade: Mask = outline.contains(along, across)
    if on_blade.any():
        return
    middle = np.clip(along, 0, outline.length)
    over = np.maximum(across - outline.height, -across)
    ends: dict[Beside, Array] = {"heel": -along, "tip": along - outline.length}
    for end, beyond in ends.items():
        if np.median(beyond) > max(0.0, float(np.median(over))):
            yield end, max(float(beyond.min()), 0.0), float(beyond.max())
            return
    above = float(np.median(across - (outline.spine(middle) + outline.edge(middle)) / 2)) > 0
    yield "spine" if above else "edge", float(along.min()), float(along.max())


def in_can(origins: Origins, column: Array, row: Array) -> tuple[Array, Array]:
    """Return where cells of the pattern lie in the can, along and across, mm: the inverse of `Origins.in_picture`."""
    places = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    (column_0, column_1, _), (row_0, _, row_1) = origins.in_picture(places[0], places[1], np.zeros(3))
    return (column - column_0) / (column_1 - column_0), (row - row_0) / (row_1 - row_0)
