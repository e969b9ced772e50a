"""The dividers between the powders: one bead wide, from any pattern, and what a printer cannot do about them.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards as the pattern
picture lies.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import shapely
from pydantic import Field
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry import box

from preview.base.errors import JobError, RequestError
from preview.base.settings import NonNegativeLength, Number, PositiveLength, Settings
from preview.base.units import METRIC, Sentence, Units, mm, say
from preview.filling.plastic import bead_grams, bead_minutes
from preview.filling.walls import polygons_of, wall_lines
from preview.pattern.raster import Raster

FINE = 1e-3
"""Points of the walls' outline nearer than this (mm) are one."""

SPECK = 0.5
"""Spots smaller than this many beads squared are no gap worth a word: the corner between two walls."""

MOST_NAMED = 6
"""Troubles of one kind that are named one by one; the rest are counted."""

Kind = Literal["narrow gap", "thin piece", "loose part", "meets the can"]


class Printing(Settings):
    """How the dividers are printed.

    Parameters
    ----------
    bead
        Width of a wall, one bead of the nozzle, mm.
    tolerance
        How far a smoothed wall may stray from the drawn line, mm.
    height
        Height of the walls, mm; by default the fill's depth.
    bed
        The printer's bed, width and depth, and the height it can print, mm.
    clearance
        Gap between an insert and the can's side, mm.
    layer
        Height of a layer, mm.
    base
        Thickness of a plate under an insert, which burns out with it, mm; by default none.
    """

    bead: Annotated[PositiveLength, Field(ge=0.1, le=3)] = 0.4
    tolerance: Annotated[Number, Field(ge=0.01, le=1)] = 0.1
    height: PositiveLength | None = None
    bed: tuple[PositiveLength, PositiveLength, PositiveLength] = (220.0, 220.0, 250.0)
    clearance: NonNegativeLength = 0.15
    layer: Annotated[PositiveLength, Field(ge=0.04, le=1)] = 0.2
    base: NonNegativeLength = 0.0

    def height_in(self, depth: float) -> float:
        """Return how tall the walls are in a can ``depth`` deep, mm; raise `RequestError` where they do not fit it."""
        height = self.height or depth
        if height > depth + 1e-9:
            problem = say("the walls have to fit the can, which is {} deep; given {}", mm(depth), mm(height))
            raise RequestError.at("printing.height", problem)
        return height


@dataclass(frozen=True)
class Trouble:
    """Something a printer or the fill cannot do: what kind, of which part if any, and where (right, up, mm)."""

    kind: Kind
    at: tuple[float, float]
    part: int | None = None


_TROUBLE_WORDS: dict[Kind, str] = {
    "narrow gap": "Gaps narrower than the bead, which a printer fills and powder does not",
    "thin piece": "Pieces of the pattern nowhere wider than two beads: their walls leave no room for powder",
    "loose part": "Parts that stand free of the can's sides: place them by the drawing, or they go adrift",
    "meets the can": "Parts that end at the can's side: they have to touch it, or powder creeps round their ends",
}


@dataclass(frozen=True, eq=False)
class Dividers:
    """Walls between the powders.

    Parameters
    ----------
    room
        The can as the dividers see it: width and height, mm.
    height
        How tall the walls are, mm.
    bead, layer
        Their width, and the height of a layer, mm.
    lines
        The walls' middle lines.
    parts
        The walls: one polygon for each piece that hangs together, from left to right; part 1 comes first.
    troubles
        What cannot be printed or filled as drawn.
    bed
        The printer's bed and height, mm.
    """

    room: tuple[float, float]
    height: float
    bead: float
    layer: float
    lines: tuple[LineString, ...]
    parts: tuple[Polygon, ...]
    troubles: tuple[Trouble, ...]
    bed: tuple[float, float, float]

    @property
    def rooms(self) -> tuple[Polygon, ...]:
        """Rooms to number on a drawing: none, the parts are numbered."""
        return ()

    @property
    def share(self) -> float:
        """Share of the can that the walls take up, and leave as void when they burn out."""
        return sum(float(part.area) for part in self.parts) / (self.room[0] * self.room[1])

    @property
    def plastic(self) -> float:
        """Weight of the plastic, g."""
        return bead_grams(self._laid, self.bead, self.layer)

    @property
    def minutes(self) -> float:
        """How long they take to print, without the ways between them, minutes."""
        return bead_minutes(self._laid)

    @property
    def _laid(self) -> float:
        """How long their bead is, all layers, mm."""
        return sum(float(part.area) for part in self.parts) / self.bead * self.height / self.layer

    def trouble_lines(self, units: Units = METRIC) -> list[str]:
        """Return the troubles in words, a line for each kind, with the places of the first few."""
        lines = []
        for kind, words in _TROUBLE_WORDS.items():
            these = [trouble for trouble in self.troubles if trouble.kind == kind]
            named = [
                f"part {each.part}" if each.part else ", ".join(units.number(place, "+.1f") for place in each.at)
                for each in these[:MOST_NAMED]
            ]
            if len(these) > MOST_NAMED:
                named.append(f"{len(these) - MOST_NAMED} more")
            unit = "" if not these or these[0].part else f", {units.name('mm')} from the middle of the can"
            if these:
                lines.append(f"{words} ({len(these)}): {'; '.join(named)}{unit}.")
        return lines


def dividers(
    raster: Raster, room: tuple[float, float], depth: float, printing: Printing, *, most: int | None = None
) -> Dividers:
    """Return the dividers of a pattern.

    Parameters
    ----------
    raster
        The pattern as it is laid, before any heat.
    room
        Width and height of the can as the dividers see it, mm.
    depth
        The fill's depth, mm: how far the dividers reach.
    printing
        How they are printed.
    most
        How many walls there may be.

    Raises
    ------
    JobError
        If there is nothing to divide, or there are too many walls.
    RequestError
        If the walls or a part do not fit the can or the printer, with the overrun.
    """
    height = printing.height_in(depth)
    inside = box(-room[0] / 2, -room[1] / 2, room[0] / 2, room[1] / 2)
    lines = tuple(wall_lines(raster, inside, printing.tolerance))
    if not lines:
        raise JobError.at("pattern", "the pattern is all one powder: there is nothing to divide")
    if most is not None and len(lines) > most:
        raise JobError.at("pattern", f"has {len(lines)} walls; at most {most} are printed; larger pieces are needed")
    walls = shapely.union_all([line.buffer(printing.bead / 2) for line in lines]).intersection(inside)
    # points nearer than a printer tells apart leave a solid's file open once its numbers are rounded
    walls = shapely.set_precision(walls, FINE)
    parts = tuple(sorted(polygons_of(walls), key=lambda part: part.bounds))
    _check_bed(parts, height, printing.bed)
    troubles = tuple(_troubles(inside, lines, parts, printing.bead))
    return Dividers(room, height, printing.bead, printing.layer, lines, parts, troubles, printing.bed)


def _check_bed(parts: tuple[Polygon, ...], height: float, bed: tuple[float, float, float]) -> None:
    over: list[Sentence] = []
    if height > bed[2] + 1e-9:
        over.append(say("the walls are {} too tall", mm(height - bed[2], form=".1f")))
    for number, part in enumerate(parts, start=1):
        left, low, right, top = part.bounds
        long, short = sorted((right - left, top - low), reverse=True)
        room_long, room_short = sorted(bed[:2], reverse=True)
        beyond = (long - room_long, short - room_short)
        if max(beyond) > 1e-9:
            ways = zip(beyond, ("long", "wide"), strict=True)
            gaps = [part for gap, word in ways if gap > 0 for part in (mm(gap, form=".1f"), word)]
            over.append(say("part {} is " + ", ".join(["{} too {}"] * (len(gaps) // 2)), number, *gaps))
    if over:
        told = "a bed of {} is too small: " + "; ".join(["{}"] * len(over))
        raise RequestError.at("printing.bed", say(told, mm(*bed), *over))


def _troubles(
    inside: Polygon, lines: tuple[LineString, ...], parts: tuple[Polygon, ...], bead: float
) -> Iterable[Trouble]:
    walls = MultiPolygon(list(parts))
    free = inside.difference(walls)
    opened = free.buffer(-bead / 2).buffer(bead / 2 * 1.02)
    for gap in polygons_of(free.difference(opened)):
        if gap.area > SPECK * bead**2:
            yield Trouble("narrow gap", _place(gap))
    for piece in shapely.polygonize([shapely.union_all([*lines, inside.boundary])]).geoms:
        if piece.buffer(-bead).is_empty:
            yield Trouble("thin piece", _place(piece))
    for number, part in enumerate(parts, start=1):
        touching = part.boundary.intersection(inside.boundary)
        if touching.length < 1e-6:
            yield Trouble("loose part", _place(part), number)
        else:
            yield Trouble("meets the can", _place(touching), number)


def _place(shape: Any) -> tuple[float, float]:
    point = shape.representative_point()
    return float(point.x), float(point.y)
