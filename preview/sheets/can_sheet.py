"""The can's plan on paper: the drawing at true size, its small rooms larger, and the order in which they are filled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from preview.base.units import Units
from preview.filling.can_drawing import INKS, CanDrawing, inside, legend
from preview.filling.can_numbers import DIGIT, TYPE
from preview.filling.can_part import cut_to, small_rooms
from preview.filling.can_plan import Turn
from preview.filling.insert import set_down
from preview.filling.walls import lines_of
from preview.sheets.paper import HEED, INK, SOFT, Page

SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)
"""A can too large for the paper is drawn this many times smaller, and the sheet says so."""

COLUMN, LINE, HEAD = 29.0, 3.7, 4.0
"""Width of a column of the rooms, height of its lines, and of the line that names the powder, mm."""

ROOM_TYPE = 7.0
"""Size of the type of the rooms' list, points."""

CROSS = 0.7
"""Half of a cross's width, mm."""

PAPER = (1.0, 1.0, 1.0)

WORTH, LARGEST = 1.6, 4.0
"""How many times its size a part of the can is drawn once more, at least and at most."""

NUMBERS = 5.0
"""Room for the numbers beside that part, mm."""

SET_DOWN = (0.0, 0.42, 0.28)

BESIDE = (0.5, 0.3, 0.7, 0.1, 0.9)
"""Where along the insert's frame its distances stand, as shares of its side, the first that hides nothing."""

APART = 1.5
"""Left free between such a distance and a room's number, mm, so that neither is read as part of the other."""

TITLE = 5.5
"""Room above a drawing for its title, mm."""


def scale_of(drawn: CanDrawing, room: tuple[float, float]) -> float:
    """Return how many times smaller a can has to be drawn to fit ``room`` (mm)."""
    left, low, right, top = drawn.bounds
    fits = (each for each in SCALES if (right - left) / each <= room[0] and (top - low) / each <= room[1])
    return next(fits, max((right - left) / room[0], (top - low) / room[1]))


def draw_plan(page: Page, drawn: CanDrawing, x: float, y: float, smaller: float, units: Units, width: float) -> float:
    """Draw the can with its upper left corner at ``x``, ``y``, its words ``width`` wide; return the height, mm."""
    start = y
    size = "at true size" if smaller == 1 else f"drawn {smaller:.3g} times smaller than it is"
    y += max(page.words(f"What goes into the can, {size}", x, y, width, 9, "sans-bold") + 1, TITLE)
    _draw(page, drawn, x, y, smaller)
    _draw_set_down(page, drawn, x, y, smaller, units)
    _, low, _, top = drawn.bounds
    y += (top - low) / smaller + 1
    ends = "◀ heel end   ·   ▲ edge side" if drawn.upright else "◀ edge side   ·   ▲ left face"
    if drawn.insert and set_down(drawn.insert):
        ends += "   ·   green: how far the insert stands from the can's sides"
    y += page.words(ends, x, y, width, 7, "sans-bold") + 0.5
    for words in legend(drawn, units):
        y += page.words(words, x, y, width, 7, colour=SOFT)
    return y - start


def _draw_set_down(page: Page, drawn: CanDrawing, x: float, y: float, smaller: float, units: Units) -> None:
    """Draw a frame round each line of the insert that could slide, with how far it stands from the can's sides."""
    left, _, _, top = drawn.bounds
    half = np.array(drawn.room) / 2
    taken = shapely.union_all(
        [
            shape
            for each in drawn.labels
            for shape in (each.box.buffer(APART * smaller), each.leader)
            if shape is not None
        ]
    )

    def on_page(points: Any) -> Any:
        return [(x + (across - left) / smaller, y + (top - up) / smaller) for across, up in points]

    for each in set_down(drawn.insert) if drawn.insert else []:
        low, high = np.array(each.bounds[:2]), np.array(each.bounds[2:])
        page.line(on_page(shapely.get_coordinates(shapely.box(*low, *high))), wide=0.25, colour=SET_DOWN, dash=(1, 1))
        sides = [((-half, low), axis) for axis in (0, 1)] + [((high, half), axis) for axis in (0, 1)]
        for ends, axis in sides:
            if not each.loose[axis]:
                continue
            told = units.number(float(ends[1][axis] - ends[0][axis]), ".1f")
            room = np.array([0.75 * len(told), 1.3]) * smaller
            for share in BESIDE:  # where it hides no room's number
                line = np.repeat([low + share * (high - low)], 2, axis=0)
                line[:, axis] = ends[0][axis], ends[1][axis]
                paper = shapely.box(*line.mean(axis=0) - room, *line.mean(axis=0) + room)
                if not paper.intersects(taken):
                    break
            page.line(on_page(line), wide=0.3, colour=SET_DOWN)
            page.area([on_page(shapely.get_coordinates(paper))], PAPER)
            ((across, down),) = on_page([line.mean(axis=0)])
            page.label(told, across, down + 0.9, 7, colour=SET_DOWN)


@dataclass(frozen=True, eq=False)
class Larger:
    """The part of a can that holds its small rooms, and how many times its size it is drawn."""

    part: Polygon
    scale: float

    @property
    def worth(self) -> bool:
        """Whether it shows enough more."""
        return self.scale >= WORTH

    @classmethod
    def fitting(cls, drawn: CanDrawing, room: tuple[float, float]) -> Larger | None:
        """Return it as it fits ``room`` (mm); None where no room is small."""
        part = small_rooms(drawn)
        if part is None:
            return None
        left, low, right, top = part.bounds
        most = (room[0] - 2 * NUMBERS) / (right - left), (room[1] - TITLE - 2 * NUMBERS) / (top - low)
        return cls(part, float(np.floor(10 * min(*most, LARGEST)) / 10))

    def draw(self, page: Page, drawn: CanDrawing, x: float, y: float, width: float) -> None:
        """Draw it with its upper left corner at ``x``, ``y``, its title ``width`` wide, mm."""
        page.words(f"Rooms, enlarged {self.scale:g} times", x, y, width, 9, "sans-bold")
        _draw(page, cut_to(drawn, self.part, 1 / self.scale), x, y + TITLE, 1 / self.scale)


def _draw(page: Page, drawn: CanDrawing, x: float, y: float, smaller: float) -> None:
    left, _, _, top = drawn.bounds

    def on_page(shape: Any) -> Any:
        return [(x + (a - left) / smaller, y + (top - b) / smaller) for a, b in shapely.get_coordinates(shape)]

    for hatch in drawn.hatches.values():
        page.lines([on_page(line) for line in hatch.geoms], colour=INKS["hatch"])
    for name, parts in (("walls", drawn.walls), ("bridges", drawn.bridges)):
        for part in parts:
            page.area([on_page(ring) for ring in (part.exterior, *part.interiors)], INKS[name])
    page.line(on_page(drawn.frame), wide=0.12 if drawn.part else 0.35)
    for side in lines_of(inside(drawn.room).exterior.intersection(drawn.part)) if drawn.part else []:
        page.line(on_page(side), wide=0.35)
    for line in drawn.blade:
        page.line(on_page(line), wide=0.3, colour=INKS["blade"], dash=(2.0, 0.8))
    for right, up in drawn.troubles:
        ((across, down),) = on_page(shapely.Point(right, up))
        for sign in (1, -1):
            ends = [(across - CROSS, down - CROSS * sign), (across + CROSS, down + CROSS * sign)]
            page.line(ends, wide=0.35, colour=INKS["trouble"])
    for label in drawn.labels:
        if label.leader is not None:
            page.line(on_page(label.leader), wide=0.12, colour=INKS["numbers"])
            page.area([on_page(shapely.Point(label.leader.coords[-1]).buffer(0.25))], INKS["numbers"])
    for label in drawn.labels:
        page.area([on_page(label.box)], PAPER)
        ((across, down),) = on_page(shapely.Point(label.at))
        set_at = label.larger / smaller
        page.label(label.text, across, down + DIGIT[1] / 2 * set_at, TYPE * set_at, colour=INKS["numbers"])


def rooms_height(page: Page, turns: list[Turn], width: float) -> float:
    """Return the height (mm) that `list_rooms` would take."""
    lines = sum(-(-len(turn.rooms) // int(width // COLUMN)) for turn in turns if turn.can_be)
    return page.height_of(_ORDER, width, 7.5) + 6 + lines * LINE + len(turns) * HEAD


_ORDER = (
    "Stand the dividers in the can as drawn. Fill one powder after the other in this order, the one of least weight "
    "first, so that less of it spills into rooms that are open yet; weigh each room, and tap it down."
)


def list_rooms(page: Page, turns: list[Turn], x: float, y: float, width: float) -> float:
    """Write in which order the rooms are filled, a block for each powder, line by line; return the height, mm."""
    start = y
    y += page.words("Fill in this order", x, y, width, 9, "sans-bold") + 0.5
    y += page.words(_ORDER, x, y, width, 7.5) + 1
    across = int(width // COLUMN)
    for turn in turns:
        head = f"{turn.name}, {turn.grams}, tapped to {turn.tapped}, into"
        if turn.heed:
            wrong = f"tapped to {turn.tapped}" if turn.can_be else "it cannot be tapped so dense"
            head = f"▲ {turn.name}, {turn.grams}: {wrong}, see above"
        page.words(head, x, y, width, ROOM_TYPE, "sans-bold", HEED if turn.heed else INK)
        y += HEAD
        if not turn.can_be:
            continue
        for number, (name, grams) in enumerate(turn.rooms):
            left, down = x + number % across * COLUMN, y + number // across * LINE
            page.words(name, left, down, 0.6 * COLUMN, ROOM_TYPE)
            page.words(grams, left + 0.58 * COLUMN, down, 0.42 * COLUMN, ROOM_TYPE)
        y += -(-len(turn.rooms) // across) * LINE
    return y - start
