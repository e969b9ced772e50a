"""Exact distances to a line of chords that runs from heel to tip, for as many points as a face has pixels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array

SAG = 2e-5
"""How far (mm) a chord may lie off the curve that it stands for."""

_APART, _CELL, _RIM = 0.1, 1.0, 3.0
_AT_ONCE = 16 * 1024
"""Points gone through together, so that all that is known of them stays in the processor's cache."""


@dataclass(frozen=True, eq=False)
class EdgeLine:
    """A line of chords, and for each cell of a grid over it the chords that can be nearest to a point in that cell.

    Parameters
    ----------
    corners
        Ends of the chords, ``(chords + 1, 2)``, mm.
    chords
        Start, run and run over its length squared, ``(chords, 6)``.
    first, last
        Numbers of the first and last chord to look at, ``(columns, rows)`` of the grid, and all of them round it.
    origin
        Where the grid starts, mm.
    """

    corners: Array
    chords: Array
    first: NDArray[Any]
    last: NDArray[Any]
    origin: Array

    @classmethod
    def through(cls, corners: Array, height: float) -> EdgeLine:
        """Prepare a line through ``corners`` (n, 2) for points up to ``height`` (mm) over its baseline.

        The line runs one way along the blade. So at one height the nearest place moves on as the point does, and at
        one station it rises as the point does: what is nearest to a point lies between what is nearest to the
        corners of its cell.
        """
        corners = corners[np.r_[True, np.hypot(*np.diff(corners, axis=0).T) > 0]]
        start, run = corners[:-1], np.diff(corners, axis=0)
        length = np.hypot(*run.T)
        low = corners.min(axis=0) - _RIM
        high = np.maximum(corners.max(axis=0), (-np.inf, height)) + _RIM
        along, across = (np.arange(a, b + _CELL, _CELL) for a, b in zip(low, high, strict=True))
        pieces = np.ceil(length / _APART).astype(int)
        chord = np.repeat(np.arange(len(start)), pieces)
        share = (np.arange(len(chord)) - np.repeat(np.cumsum(pieces) - pieces, pieces) + 0.5) / pieces[chord]
        points = start[chord] + share[:, None] * run[chord]
        squares = (points * points).sum(axis=1)
        nodes = np.stack(np.meshgrid(along, across, indexing="ij"), axis=-1)
        near = chord[np.stack([(squares - 2 * column @ points.T).argmin(axis=1) for column in nodes])]
        around = np.stack([near[:-1, :-1], near[1:, :-1], near[:-1, 1:], near[1:, 1:]])
        first, last = np.maximum(around.min(axis=0) - 1, 0), np.minimum(around.max(axis=0) + 1, len(start) - 1)
        return cls(
            corners,
            np.concatenate([start, run, run / (length * length)[:, None]], axis=1),
            np.pad(first, 1, constant_values=0).astype(np.int32),
            np.pad(last, 1, constant_values=len(start) - 1).astype(np.int32),
            low - _CELL,
        )

    def distance(self, points: Array) -> Array:
        """Return the distance (mm) of ``points`` (n, 2), none of them NaN."""
        parts = [self._distance(points[n : n + _AT_ONCE]) for n in range(0, len(points), _AT_ONCE)]
        return np.concatenate(parts) if parts else np.zeros(0)

    def _distance(self, points: Array) -> Array:
        places = ((points - self.origin) / _CELL).astype(np.int32)
        column, row = (np.clip(place, 0, size - 1) for place, size in zip(places.T, self.first.shape, strict=True))
        number, last = self.first[column, row], self.last[column, row]
        found = self._squared(points, number)
        which = np.flatnonzero(number < last)
        points, number, last = points[which], number[which], last[which]
        while which.size:
            number = number + 1
            found[which] = np.minimum(found[which], self._squared(points, number))
            left = number < last
            if not left.all():
                which, points, number, last = which[left], points[left], number[left], last[left]
        return np.asarray(np.sqrt(found))

    def _squared(self, points: Array, number: NDArray[Any]) -> Array:
        x, y, run, rise, per_run, per_rise = self.chords[number].T
        x, y = points[:, 0] - x, points[:, 1] - y
        share = np.clip(x * per_run + y * per_rise, 0, 1)
        x -= share * run
        y -= share * rise
        return np.asarray(x * x + y * y)


def followed(curve: Callable[[Array], Array], length: float) -> Array:
    """Return corners ``(n, 2)`` along a curve, given by its ``across`` at ``along``, in chords within `SAG`."""
    along = np.linspace(0, length, int(np.ceil(length)) + 1)
    for _ in range(40):  # a step stays one however often it is halved
        across = curve(along)
        run, rise, middle = np.diff(along), np.diff(across), (along[1:] + along[:-1]) / 2
        off = np.abs(curve(middle) - (across[1:] + across[:-1]) / 2) * run / np.hypot(run, rise)
        coarse = off > SAG
        if not coarse.any():
            break
        along = np.insert(along, np.flatnonzero(coarse) + 1, middle[coarse])
    return np.stack([along, curve(along)], axis=1)
