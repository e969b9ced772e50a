"""Which triangle is seen at each pixel of a picture: corners in, nearest triangle and its weights out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array

AT_ONCE = 3_000_000
"""Pixels of triangles' frames that are looked at in one go."""

Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Seen:
    """What is seen of a body: pixels (flat index), at each its triangle, and the weights of its corners ``(n, 3)``."""

    at: Numbers
    triangle: Numbers
    weights: Array


def seen_triangles(places: Array, triangles: Numbers, eye: float, per_mm: float, shape: tuple[int, int]) -> Seen:
    """Return what an eye over the middle of a picture sees of triangles that are turned towards it.

    Parameters
    ----------
    places
        Corners ``(n, 3)``: right, up, towards the eye, mm from the picture's middle.
    triangles
        Corners' numbers ``(m, 3)``, counter-clockwise as seen from outside.
    eye
        How far the eye is from the picture's plane, mm.
    per_mm
        Pixels in a millimetre of that plane.
    shape
        Rows and columns of the picture.
    """
    rows, columns = shape
    near = eye / (eye - places[:, 2])
    x = columns / 2 + places[:, 0] * near * per_mm
    y = rows / 2 - places[:, 1] * near * per_mm
    flat = np.stack([x, y], axis=1)[triangles]
    twice = _crossed(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0])
    first = np.maximum(np.ceil(flat.min(axis=1) - 0.5), 0).astype(np.int64)
    last = np.minimum(np.floor(flat.max(axis=1) - 0.5), (columns - 1, rows - 1)).astype(np.int64)
    wide, high = np.maximum(last - first + 1, 0).T
    ours = np.flatnonzero((twice < 0) & (wide * high > 0))  # rows go down, so what is turned to the eye runs backwards
    closest, number = np.zeros(rows * columns), np.full(rows * columns, -1)
    count = np.cumsum((wide * high)[ours])
    for group in np.split(ours, np.searchsorted(count, np.arange(AT_ONCE, count[-1] if len(count) else 0, AT_ONCE))):
        each = np.repeat(group, (wide * high)[group])
        size = (wide * high)[group]
        within = np.arange(len(each)) - np.repeat(np.cumsum(size) - size, size)
        column = first[each, 0] + within % wide[each]
        row = first[each, 1] + within // wide[each]
        weights = _weights(flat, twice, each, column, row)
        closeness = (weights * near[triangles[each]]).sum(axis=1)
        pixel = row * columns + column
        inside = np.flatnonzero((weights >= -1e-9).all(axis=1) & (closeness > closest[pixel]))
        inside = inside[np.argsort(closeness[inside], kind="stable")]  # the closest comes last and stays
        closest[pixel[inside]], number[pixel[inside]] = closeness[inside], each[inside]
    at = np.flatnonzero(number >= 0)
    found = number[at]
    weights = _weights(flat, twice, found, at % columns, at // columns) * near[triangles[found]]
    return Seen(at, found, weights / weights.sum(axis=1, keepdims=True))


def _weights(flat: Array, twice: Array, each: Numbers, column: Numbers, row: Numbers) -> Array:
    """Return the shares ``(n, 3)`` of triangles' corners at the middles of pixels."""
    point = np.stack([column + 0.5, row + 0.5], axis=1)
    a, b, c = (flat[each, k] - point for k in range(3))
    return np.stack([_crossed(b, c), _crossed(c, a), _crossed(a, b)], axis=1) / twice[each, None]


def _crossed(one: Array, other: Array) -> Array:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
