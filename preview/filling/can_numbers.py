"""Where the numbers of a can's rooms stand on its drawing: in the room where there is space, else beside it.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry import box

from preview.base.arrays import Array

TYPE = 6.0
"""Size of the numbers' type, points."""

DIGIT = (1.35, 1.55)
"""Width and height of a digit of that type, mm."""

AROUND = 0.15
"""Left free around a number, mm."""

BESIDE = 3.0
"""How far beyond the drawing's side the numbers beside it stand, mm."""

PAST, SHY = 5.0, 0.6
"""What a leader's way past another room counts for, mm, and how far from a room's sides it ends, as a share of the
greatest distance that is there."""


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
    half = _half(text, larger)
    return box(at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1])


def number_rooms(
    rooms: dict[str, Any], frame: Polygon, blade: tuple[LineString, ...], larger: float
) -> tuple[Label, ...]:
    """Return each room's number: in the room, off the blade's lines, or else beside the ``frame`` of the drawing.

    No leader crosses another, nor a number that stands in a room.
    """
    lines = MultiLineString(blade)
    shapely.prepare(lines)
    fitting = {}
    for text, shape in rooms.items():
        places = _fitting(text, shape, larger)
        boxes = _boxes(text, places, larger)
        off = ~shapely.intersects(lines, boxes)
        fitting[text] = places[off], boxes[off]
    leaving = [text for text, (places, _) in fitting.items() if not len(places)]
    while True:
        labels = {label.text: label for label in _beside(leaving, rooms, frame, larger)}
        leaders = MultiLineString([label.leader for label in labels.values()])
        driven = []
        for text, (places, boxes) in fitting.items():
            if text in leaving:
                continue
            clear = np.flatnonzero(~shapely.intersects(leaders, boxes))
            if len(clear):
                x, y = places[clear[0]].tolist()
                labels[text] = Label(text, (x, y), larger)
            else:
                driven.append(text)
        if not driven:
            return tuple(labels[text] for text in rooms)
        leaving += driven


def _middle(shape: Any) -> Array:
    middle: Array = shapely.get_coordinates(shapely.maximum_inscribed_circle(shape, tolerance=0.05))[0]
    return middle


def _places(shape: Any) -> Array:
    """Return the widest place of a room, and those of a grid over it, (n, 2), the ones near the widest first."""
    middle = _middle(shape)
    left, low, right, top = shape.bounds
    step = max(0.5, max(right - left, top - low) / 40)
    grid = np.meshgrid(np.arange(left, right, step), np.arange(low, top, step))
    places: Array = np.concatenate([[middle], np.stack([each.ravel() for each in grid], axis=1)])
    return places[np.argsort(np.hypot(*(places - middle).T), kind="stable")]


def _boxes(text: str, places: Array, larger: float) -> Any:
    half = _half(text, larger)
    return shapely.box(*(places - half).T, *(places + half).T)


def _half(text: str, larger: float) -> Array:
    half: Array = larger * np.array([len(text) * DIGIT[0] / 2 + AROUND, DIGIT[1] / 2 + AROUND])
    return half


def _fitting(text: str, shape: Any, larger: float) -> Array:
    """Return the places of a room where a number fits, (n, 2), those near its widest place first."""
    places = _places(shape)
    shapely.prepare(shape)
    fitting: Array = places[shapely.contains(shape, _boxes(text, places, larger))]
    return fitting


def _beside(leaving: list[str], rooms: dict[str, Any], frame: Polygon, larger: float) -> list[Label]:
    """Return the numbers of rooms ``leaving`` in rows beside the frame's sides, as near to their rooms as they go.

    Of two leaders that cross the numbers change places. That shortens both together, so that it comes to an end.
    """
    if not leaving:
        return []
    tree = shapely.STRtree(list(rooms.values()))
    found = [_anchor(rooms[text], tree, frame) for text in leaving]
    sides, anchors = np.array([side for side, _ in found]), np.array([anchor for _, anchor in found])
    room = 2 * np.max([_half(text, larger) for text in leaving], axis=0) + 0.3 * larger
    left, low, right, top = frame.bounds
    at = np.empty_like(anchors)  # the numbers' middles
    for side, (axis, far, sign) in enumerate(((1, top, 1), (1, low, -1), (0, right, 1), (0, left, -1))):
        own = np.flatnonzero(sides == side)
        own = own[np.argsort(anchors[own, 1 - axis], kind="stable")]
        offset = room[1 - axis] * np.arange(len(own))
        at[own, axis] = far + sign * larger * BESIDE
        at[own, 1 - axis] = _rising(anchors[own, 1 - axis] - offset) + offset
    out = np.stack([sides == 2, sides == 0], axis=1) * 1.0 - np.stack([sides == 3, sides == 1], axis=1)
    feet = at - out * (room / 2 - 0.1 * larger)
    order = _uncrossed(feet, anchors)
    return [
        Label(leaving[own], (float(x), float(y)), larger, LineString([foot, anchors[own]]))
        for (x, y), foot, own in zip(at, feet, order, strict=True)
    ]


def _anchor(shape: Any, rooms: shapely.STRtree, frame: Polygon) -> tuple[int, Array]:
    """Return beside which side (above, below, right, left) a room's number stands, and where its leader ends.

    The shortest way out is taken, every room on it counted as `PAST` more.
    """
    inner = shape.buffer(-SHY * shapely.maximum_inscribed_circle(shape, tolerance=0.05).length)
    places = _places(shape)
    places = np.concatenate([places[:1], places[shapely.contains_xy(inner, *places.T)]])
    left, low, right, top = frame.bounds
    x, y = places.T
    ends = np.stack(
        [np.stack(np.broadcast_arrays(*each), axis=1) for each in ((x, top), (x, low), (right, y), (left, y))]
    )
    ways = shapely.linestrings(np.stack([np.broadcast_to(places, ends.shape), ends], axis=2)).ravel()
    past = np.bincount(rooms.query(ways, predicate="intersects")[0], minlength=len(ways))
    side, best = np.unravel_index(np.argmin(shapely.length(ways) + PAST * past), ends.shape[:2])
    return int(side), places[best]


def _uncrossed(feet: Array, anchors: Array) -> list[int]:
    """Return for each foot (n, 2) which of as many anchors it leads to, so that no leader crosses another."""
    order = np.arange(len(feet))
    while True:
        leaders = shapely.linestrings(np.stack([feet, anchors[order]], axis=1))
        changed: set[int] = set()
        for one, other in shapely.STRtree(leaders).query(leaders, predicate="intersects").T.tolist():
            if one >= other or changed & {one, other}:
                continue
            swapped = np.hypot(*(feet[[one, other]] - anchors[order[[other, one]]]).T).sum()
            if swapped < shapely.length(leaders[[one, other]]).sum() - 1e-9:
                order[[one, other]] = order[[other, one]]
                changed |= {one, other}
        if not changed:
            return [int(each) for each in order]


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
