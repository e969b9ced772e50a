"""Where the numbers of parts and rooms stand on the flat drawings: never over each other.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry import box

from preview.base.arrays import Array

TALLEST = 1.5
"""Height of a number's type, mm; smaller in a room that has no place for that."""

DIGIT = (0.6, 0.73)
"""Width and height of a digit, as shares of the type's height."""

OFF = 0.15
"""Left free between a number and its wall, mm."""

TRIED = 24
"""Places along a part that are tried, on each of its four sides."""


@dataclass(frozen=True)
class Number:
    """A number: its text, its lower left corner and the height of its type, mm."""

    text: str
    at: tuple[float, float]
    height: float


def room_numbers(rooms: Iterable[Polygon]) -> list[Number]:
    """Return the numbers of rooms, each in the widest place of its own, as large as fits there."""
    numbers = []
    for number, room in enumerate(rooms, start=1):
        middle, text = shapely.maximum_inscribed_circle(room, tolerance=0.05), str(number)
        height = min(TALLEST, 2 * middle.length / float(np.hypot(DIGIT[0] * len(text), DIGIT[1])))
        x, y = middle.coords[0]
        numbers.append(Number(text, (x - DIGIT[0] * len(text) * height / 2, y - DIGIT[1] * height / 2), height))
    return numbers


def part_numbers(parts: tuple[Polygon, ...], room: tuple[float, float]) -> list[Number]:
    """Return the numbers of parts, each beside its wall: clear of all walls where it can be, in any case of the others.

    A part with no place left beside it has no number.
    """
    walls = shapely.union_all(list(parts))
    inside = box(*(sign * side / 2 for sign in (-1, 1) for side in room))
    shapely.prepare(walls)
    shapely.prepare(inside)
    numbers: list[Number] = []
    taken: list[Polygon] = []
    for number, part in enumerate(parts, start=1):
        corners, boxes = _beside(part, DIGIT[0] * len(str(number)) * TALLEST, DIGIT[1] * TALLEST)
        free = shapely.contains(inside, boxes)
        if taken:
            over, _ = shapely.STRtree(taken).query(boxes, predicate="intersects")
            free[over] = False
        clear = free & ~shapely.intersects(walls, boxes)
        best = np.flatnonzero(clear if clear.any() else free)
        if len(best):
            x, y = corners[best[0]]
            numbers.append(Number(str(number), (float(x), float(y)), TALLEST))
            taken.append(boxes[best[0]])
    return numbers


def _beside(part: Polygon, wide: float, high: float) -> tuple[Array, Array]:
    """Return the lower left corners, and the boxes, of a number's places above, below, right and left of a wall."""
    length = part.exterior.length
    along = shapely.line_interpolate_point(part.exterior, np.arange(TRIED) / TRIED * length)
    x, y = shapely.get_coordinates(along).T
    over = np.concatenate([x - wide / 2, x - wide / 2, x + OFF, x - wide - OFF])
    up = np.concatenate([y + OFF, y - high - OFF, y - high / 2, y - high / 2])
    return np.stack([over, up], axis=1), shapely.box(over, up, over + wide, up + high)
