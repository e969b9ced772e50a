"""Where the numbers of a can's rooms stand on its drawing: in the room where there is space, else beside the can.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry import box

from preview.base.arrays import Array

TYPE = 6.0
"""Size of the numbers' type, points."""

DIGIT = (1.35, 1.55)
"""Width and height of a digit of that type, mm."""

AROUND = 0.15
"""Left free around a number, mm."""

BESIDE = 3.0
"""How far beyond the can's side the numbers beside it stand, mm."""


@dataclass(frozen=True, eq=False)
class Label:
    """A number, its middle, how much larger than `TYPE` it is set, and the line to its room if it stands outside."""

    text: str
    at: tuple[float, float]
    larger: float
    leader: LineString | None = None

    @property
    def box(self) -> Polygon:
        """The room that it takes, mm."""
        return box_round(self.text, self.at, self.larger)


def box_round(text: str, at: tuple[float, float], larger: float) -> Polygon:
    """Return the room (mm) that a number takes with its middle at a place, set so much larger than `TYPE`."""
    half = larger * (len(text) * DIGIT[0] / 2 + AROUND), larger * (DIGIT[1] / 2 + AROUND)
    return box(at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1])


def number_rooms(
    rooms: dict[str, Polygon], room: tuple[float, float], blade: tuple[LineString, ...], larger: float
) -> tuple[Label, ...]:
    """Return each room's number: in the room, off the lines where it can be, or else beside the can."""
    fitting = {text: _fitting(text, shape, larger) for text, shape in rooms.items()}
    leaving = [text for text, places in fitting.items() if not len(places)]
    labels: dict[str, Label] = {}
    while True:
        beside = _beside({text: _middle(rooms[text]) for text in leaving}, room, larger)
        leaders = [label.leader for label in beside]
        labels, driven = {}, []
        for text, places in fitting.items():
            if text in leaving:
                continue
            boxes = [box_round(text, place, larger) for place in places]
            clear = [place for place, each in zip(places, boxes, strict=True) if not _crossed(each, leaders)]
            if not clear:
                driven.append(text)
                continue
            off = next((place for place in clear if not _crossed(box_round(text, place, larger), blade)), clear[0])
            labels[text] = Label(text, off, larger)
        if not driven:
            break
        leaving += driven
    found = {**labels, **{label.text: label for label in beside}}
    return tuple(found[text] for text in rooms)


def _crossed(shape: Polygon, lines: Any) -> bool:
    return any(shape.intersects(line) for line in lines)


def _middle(shape: Polygon) -> tuple[float, float]:
    x, y = shapely.maximum_inscribed_circle(shape, tolerance=0.05).coords[0]
    return float(x), float(y)


def _fitting(text: str, shape: Polygon, larger: float) -> list[tuple[float, float]]:
    """Return the places of a room where a number fits, those near its widest place first."""
    middle = _middle(shape)
    left, low, right, top = shape.bounds
    step = max(0.5, max(right - left, top - low) / 40)
    grid = np.meshgrid(np.arange(left, right, step), np.arange(low, top, step))
    places: Array = np.concatenate([[middle], np.stack([each.ravel() for each in grid], axis=1)])
    half = larger * np.array([len(text) * DIGIT[0] / 2 + AROUND, DIGIT[1] / 2 + AROUND])
    shapely.prepare(shape)
    fits = shapely.contains(shape, shapely.box(*(places - half).T, *(places + half).T))
    places = places[fits]
    order = np.argsort(np.hypot(*(places - middle).T), kind="stable")
    return [(float(x), float(y)) for x, y in places[order]]


def _beside(anchors: dict[str, tuple[float, float]], room: tuple[float, float], larger: float) -> list[Label]:
    """Return numbers in a row above and one below the can, as near to their rooms as they go without touching."""
    labels = []
    for sign in (1, -1):
        row = sorted((place[0], place[1], text) for text, place in anchors.items() if (place[1] >= 0) == (sign > 0))
        if not row:
            continue
        wide = larger * np.array([len(text) * DIGIT[0] + 2 * AROUND + 0.3 for _, _, text in row])
        offset = np.cumsum(wide) - wide / 2
        middles = _rising(np.array([x for x, _, _ in row]) - offset) + offset
        up = sign * (room[1] / 2 + larger * BESIDE)
        for x, (right, height, text) in zip(middles, row, strict=True):
            foot = (float(x), up - sign * larger * (DIGIT[1] / 2 + 0.2))
            labels.append(Label(text, (float(x), up), larger, LineString([foot, (right, height)])))
    return labels


def _rising(values: Array) -> Array:
    """Return the values that nowhere fall and lie nearest to ``values``, by least squares.

    Neighbours that fall are pooled to their mean until none do (Ayer et al., Ann. Math. Statist. 26 (1955) 641-647;
    from memory). That of scipy takes a tenth of a second to import.
    """
    means: list[float] = []
    counts: list[int] = []
    for value in values.tolist():
        mean, count = value, 1
        while means and means[-1] >= mean:
            more = counts.pop()
            mean, count = (means.pop() * more + mean * count) / (more + count), more + count
        means.append(mean)
        counts.append(count)
    return np.repeat(means, counts)
