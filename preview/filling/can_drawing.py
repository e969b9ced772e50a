"""The can's plan as a drawing: walls or insert, what each room holds, its number, where the blade lies, trouble.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards as the pattern
picture lies. A number stands in its room where there is space; else beside the can, with a line that leads to its room.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry import box

from preview.base.errors import JobError, RequestError
from preview.base.units import METRIC, Sentence, Units, say
from preview.filling.can_numbers import Label, number_rooms
from preview.filling.dividers import Printing, dividers
from preview.filling.insert import Insert, insert_of, placing
from preview.filling.showing import showing
from preview.filling.walls import lines_of, pieces_between, polygons_of
from preview.job.job import Job
from preview.pattern.pattern import VOID
from preview.pipeline import laid_raster, trace

HATCH_PITCH = 1.0
"""Between two lines of a hatch, mm."""

HATCHES = (None, 45.0, 135.0, 0.0, 90.0)
"""How each powder is hatched, degrees: the first is left blank; from the sixth on they begin anew."""

INKS = {
    "can": (0.13, 0.12, 0.11),
    "walls": (0.13, 0.12, 0.11),
    "bridges": (0.77, 0.24, 0.12),
    "hatch": (0.55, 0.55, 0.57),
    "blade": (0.10, 0.36, 0.62),
    "trouble": (0.77, 0.24, 0.12),
    "numbers": (0.13, 0.12, 0.11),
}
"""What each thing is drawn in, red, green and blue from 0 to 1; each differs from the others in form as well."""

SEEN = {
    True: "from above: heel end on the left, edge side below",
    False: "from the tip end: edge side on the left, right face above",
}
"""How the can is looked at, by whether the dividers stand upright in it."""

LIES = {True: "where the blade lies", False: "what comes out on the blade's faces"}
"""What is drawn of the blade, likewise."""

FAINT = 0.02
"""Share of what shows most, from which on a place of the can counts as under the blade."""


@dataclass(frozen=True, eq=False)
class CanDrawing:
    """What is drawn.

    Parameters
    ----------
    room, depth
        Width and height of the can's inside as it is drawn, and how deep it is, mm.
    walls, bridges
        Plastic, and how much of it is bridges.
    hatches
        Each powder's name and hatch; an empty hatch for the first.
    blade
        Where the blade lies: its outline carried back to the can, or all that shows on its faces.
    labels
        The rooms' numbers.
    troubles
        Places where trouble was named.
    insert
        The insert, or None where there is none.
    said
        What the troubles are, or why there is no insert.
    upright
        Whether the dividers stand upright in the can: then it is seen from above, else from the tip end.
    part
        What of the can's inside is drawn; None for all of it.
    """

    room: tuple[float, float]
    walls: tuple[Polygon, ...]
    bridges: tuple[Polygon, ...]
    hatches: dict[str, MultiLineString]
    blade: tuple[LineString, ...]
    labels: tuple[Label, ...]
    troubles: tuple[tuple[float, float], ...]
    insert: Insert | None
    said: Sentence
    upright: bool
    depth: float
    part: Polygon | None = None

    @property
    def frame(self) -> Polygon:
        """What of the can's inside is drawn, mm."""
        return self.part or inside(self.room)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, low, right, top of all that is drawn, mm."""
        whole = shapely.union_all([self.frame, *(label.box for label in self.labels)]).bounds
        return float(whole[0]), float(whole[1]), float(whole[2]), float(whole[3])


def draw_can(job: Job, printing: Printing | None = None, larger: float = 1.0) -> CanDrawing:
    """Return a job's can as a drawing, whatever bed its dividers are printed on.

    Numbers are set ``larger`` than `TYPE`, for a drawing that is made so many times smaller.
    """
    printing = (printing or Printing()).model_copy(update={"bed": (inf,) * 3})
    blade = blade_in_can(job)
    try:
        made = insert_of(job, printing)
    except RequestError as error:
        return _with_walls(job, printing, blade, error)
    classes = laid_raster(job).classes
    upright = job.pattern.direction.upright
    rooms = [(classes[held], room) for room, held in zip(made.rooms, made.holds, strict=True)]
    numbered = {str(number): room for number, (name, room) in enumerate(rooms, start=1) if name != VOID}
    unheld = [made.pieces.polygons[number].representative_point() for number in made.unheld]
    said = say("pieces with no room for powder, which stay empty")
    return CanDrawing(
        made.room, made.parts, tuple(polygons_of(made.found.streaks)), _hatches(job, rooms), blade,
        number_rooms(numbered, inside(made.room), blade, larger), tuple((at.x, at.y) for at in unheld), made, said,
        upright, job.divider_depth,
    )  # fmt: skip


def _with_walls(job: Job, printing: Printing, blade: tuple[LineString, ...], why: RequestError) -> CanDrawing:
    """Return the can with ordinary walls, their trouble marked, where there is no insert."""
    raster, room, upright = laid_raster(job), job.pattern_area, job.pattern.direction.upright
    try:
        found = dividers(raster, room, job.divider_depth, printing)
    except JobError:  # all one powder
        return CanDrawing(
            room,
            (),
            (),
            _hatches(job, []),
            blade,
            (),
            (),
            None,
            say("The can holds one powder: there are no dividers."),
            upright,
            job.divider_depth,
        )
    pieces = pieces_between(list(found.lines), raster, inside(room))
    walls = shapely.union_all(found.parts)
    rooms = [
        (
            name,
            shapely.union_all(
                [pieces.polygons[k] for k, held in enumerate(pieces.powders) if held == number]
            ).difference(walls),
        )
        for number, name in enumerate(raster.classes)
    ]
    troubles = tuple(each.at for each in found.troubles if each.kind != "meets the can")
    said = say("There is no insert in one line: {}.", why.faults[0].problem)
    depth = job.divider_depth
    return CanDrawing(room, found.parts, (), _hatches(job, rooms), blade, (), troubles, None, said, upright, depth)


def blade_in_can(job: Job) -> tuple[LineString, ...]:
    """Return where the blade lies in the can: its outline, or where that has no sense what comes out on its faces."""
    direction = job.pattern.direction
    if direction.upright:
        corners = job.blade.outline.profile
        outline = LineString([*corners, corners[0]]).segmentize(1.0)
        points = shapely.get_coordinates(outline)
        carried = trace(job, np.column_stack([points, np.zeros(len(points))]))
        places = np.stack(direction.seen(*carried.T), axis=1)
        runs = np.split(places, np.flatnonzero(np.isnan(places).any(axis=1)))
        lines = [LineString(run) for each in runs if len(run := each[~np.isnan(each).any(axis=1)]) > 1]
    else:
        lines = _footprint(job)
    within = inside(job.pattern_area)
    return tuple(part for line in lines for part in lines_of(line.intersection(within)))


def _footprint(job: Job) -> list[LineString]:
    from skimage.measure import find_contours

    shown = showing(job)
    density = np.pad(shown.density, 1)
    rows, columns = shown.density.shape
    width, height = shown.room
    lines = []
    for contour in find_contours(density, FAINT * density.max()):
        right, up = (contour[:, 1] - 0.5) / columns - 0.5, 0.5 - (contour[:, 0] - 0.5) / rows
        lines.append(LineString(np.stack([right * width, up * height], axis=1)).simplify(0.05))
    return lines


def inside(room: tuple[float, float]) -> Polygon:
    """Return the inside of a can, mm."""
    return box(-room[0] / 2, -room[1] / 2, room[0] / 2, room[1] / 2)


def hatch(shape: Any, angle: float, pitch: float = HATCH_PITCH) -> MultiLineString:
    """Return the lines of a hatch within a shape; ``angle`` in degrees, counter-clockwise."""
    if shape.is_empty:
        return MultiLineString()
    left, low, right, top = shape.bounds
    along = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    over = np.array([-along[1], along[0]])
    corners = np.array([(x, y) for x in (left, right) for y in (low, top)])
    lowest, highest = (corners @ over).min() / pitch, (corners @ over).max() / pitch
    places = pitch * (np.arange(np.floor(lowest), np.ceil(highest)) + 0.5)  # off round millimetres, where sides lie
    start, end = (corners @ along).min() - 1, (corners @ along).max() + 1
    rays = [np.stack([over * place + along * start, over * place + along * end]) for place in places]
    return MultiLineString(lines_of(shapely.multilinestrings(rays).intersection(shape)))


def _hatches(job: Job, rooms: list[tuple[str, Any]]) -> dict[str, MultiLineString]:
    hatches = {}
    for number, powder in enumerate(job.powders):
        angle = HATCHES[number % len(HATCHES)]
        held = shapely.union_all([room for name, room in rooms if name == powder.name])
        hatches[powder.name] = MultiLineString() if angle is None else hatch(held, angle)
    return hatches


def legend(drawn: CanDrawing, units: Units = METRIC) -> list[str]:
    """Return what the drawing shows, in lines."""
    size = units.length(*drawn.room, form="g")
    deep = f"{units.length(drawn.depth, form='g')} {'deep' if drawn.upright else 'long'}"
    ways = ("left blank", "hatched /", "hatched \\", "hatched level", "hatched upright")
    powders = ", ".join(f"{name} {ways[k % len(ways)]}" for k, name in enumerate(drawn.hatches))
    lines = [f"Inside of the can {size}, {deep}, seen {SEEN[drawn.upright]}. {powders[:1].upper()}{powders[1:]}."]
    marks = ["black: the dividers"] if drawn.walls else []
    marks += ["red: their bridges"] if drawn.bridges else []
    marks += [f"blue, broken: {LIES[drawn.upright]}"]
    marks += [
        "red crosses: " + (drawn.said.told(units) if drawn.insert else "where walls leave no room, or stand loose")
    ] * bool(drawn.troubles)
    lines.append(f"{'; '.join(marks)}.".capitalize())
    lines += [note.told(units) for note in placing(drawn.insert)] if drawn.insert else []
    return lines if drawn.insert else [*lines, drawn.said.told(units)]
