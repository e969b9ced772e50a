"""The part of a can's drawing that holds its small rooms, cut out to be drawn larger."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import shapely
from shapely import MultiLineString, Polygon

from preview.filling.can_drawing import CanDrawing, inside
from preview.filling.can_numbers import number_rooms
from preview.filling.walls import lines_of, polygons_of

AROUND = 2.0
"""Drawn of the can around its small rooms, mm."""


def small_rooms(drawn: CanDrawing) -> Polygon | None:
    """Return the part of a can, mm, that holds all its rooms but the largest; None where there are no others."""
    rooms = sorted(_rooms(drawn).values(), key=lambda room: float(room.area))[:-1]
    if not rooms:
        return None
    found = shapely.box(*shapely.total_bounds(rooms)).buffer(AROUND, join_style="mitre")
    return found.intersection(inside(drawn.room))


def cut_to(drawn: CanDrawing, part: Polygon, larger: float) -> CanDrawing:
    """Return what a drawing shows within ``part``, its rooms numbered anew in a type ``larger`` than `TYPE`."""
    rooms = {text: kept for text, room in _rooms(drawn).items() if not (kept := room.intersection(part)).is_empty}
    blade = tuple(each for line in drawn.blade for each in lines_of(line.intersection(part)))
    return replace(
        drawn,
        part=part,
        walls=_within(drawn.walls, part),
        bridges=_within(drawn.bridges, part),
        hatches={name: MultiLineString(lines_of(each.intersection(part))) for name, each in drawn.hatches.items()},
        blade=blade,
        labels=number_rooms(rooms, part, blade, larger),
        troubles=tuple(at for at in drawn.troubles if part.covers(shapely.Point(at))),
    )


def _rooms(drawn: CanDrawing) -> dict[str, Any]:
    rooms = drawn.insert.rooms if drawn.insert else ()
    return {label.text: rooms[int(label.text) - 1] for label in drawn.labels}


def _within(shapes: tuple[Polygon, ...], part: Polygon) -> tuple[Polygon, ...]:
    return tuple(each for shape in shapes for each in polygons_of(shape.intersection(part)))
