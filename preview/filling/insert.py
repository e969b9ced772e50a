"""The insert: a pattern's walls printed round and round in one line, as one piece that stands in the can.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards as the pattern
picture lies.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Any

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry import box

from preview.base.cache import kept
from preview.base.errors import RequestError
from preview.base.units import Sentence, mm, mm2, say
from preview.blade.grind import Grind
from preview.filling.dividers import Printing
from preview.filling.one_line import OneLine, beads, one_line
from preview.filling.plastic import DENSITY, bead_grams, bead_minutes
from preview.filling.showing import Showing, everywhere, showing
from preview.filling.walls import PASSED, Pieces, pieces_between, polygons_of, wall_lines
from preview.job.job import Job
from preview.pattern.raster import Cells, Raster
from preview.pipeline import laid_raster, looks_aside

MOST_PIECES = 600
"""Pieces of a pattern that are joined; more are specks, and each takes a bridge."""

LEAST_ROOM = 0.2
"""Room (mm) between the beads that a piece needs to hold powder."""

LEAST_AREA = 0.15
"""Rooms under this area (mm2) are the corner between two beads."""

LEAST_HELD = 0.5
"""Share of a powder's area that has to lie in pieces with room for it."""

STEP = 0.005
"""How far (mm) the solid's outline may stray."""


@dataclass(frozen=True, eq=False)
class Insert:
    """A pattern's walls as a printed insert.

    Parameters
    ----------
    room
        The can as the dividers see it: width and height, mm.
    height, bead, layer, base
        Height of the walls, width of the bead, height of a layer, thickness of the base (0: none), mm.
    found
        The line, its bridges, what they harm.
    pieces
        The pattern's pieces.
    unheld
        The pieces, by their place in ``pieces``, that have no room for powder.
    plate
        The base's area, within the clearance.
    beads
        The room that all beads take.
    rooms
        What the beads leave open in the can for powder, from the upper left on. Where no bead runs along the can's
        side, a room reaches up to it, over a clearance that powder does not pass.
    holds
        Which class of the raster each room holds.
    bed
        The printer's bed and height, mm.
    """

    room: tuple[float, float]
    height: float
    bead: float
    layer: float
    base: float
    found: OneLine
    pieces: Pieces
    unheld: tuple[int, ...]
    plate: Polygon
    beads: Any
    rooms: tuple[Polygon, ...]
    holds: tuple[int, ...]
    bed: tuple[float, float, float]

    @property
    def bodies(self) -> tuple[Polygon, ...]:
        """The solid that each line is printed round: the bead's outer side lies on its outline."""
        return tuple(_body(line, self.bead) for line in self.found.lines)

    @property
    def parts(self) -> tuple[Polygon, ...]:
        """The beads, one polygon for each piece that hangs together."""
        return tuple(polygons_of(self.beads))

    @property
    def lines(self) -> tuple[Any, ...]:
        """The beads' middle lines, closed."""
        return tuple(line.exterior for line in self.found.lines)

    @property
    def share(self) -> float:
        """Share of the can that holds no powder: beads, slits and corners between them, void when they burn out."""
        return 1 - sum(float(room.area) for room in self.rooms) / (self.room[0] * self.room[1])

    @property
    def empty(self) -> float:
        """Floor beside the beads that holds no powder either, too thin for it, mm2."""
        return float(self.plate.difference(shapely.union_all([self.beads, *self.rooms])).area)

    @property
    def plastic(self) -> float:
        """Weight of the plastic, g."""
        base = float(self.plate.area) * self.base / 1000 * DENSITY
        return bead_grams(self._laid, self.bead, self.layer) + base

    @property
    def minutes(self) -> float:
        """How long it takes to print, minutes."""
        base = float(self.plate.area) * self.base / (self.layer * self.bead)
        return bead_minutes(self._laid + base)

    @property
    def _laid(self) -> float:
        """How long the walls' bead is, all turns, mm."""
        return self.found.length * (self.height - self.base) / self.layer


def _body(line: Polygon, bead: float) -> Polygon:
    return shapely.set_precision(line.buffer(bead / 2).simplify(STEP), 1e-3)


def _rooms(taken: Any, floor: Polygon) -> tuple[Polygon, ...]:
    """Return the rooms between beads, from the upper left on; powder does not pass where they nearly touch."""
    free = floor.difference(taken)
    wide = free.buffer(-PASSED / 2).buffer(PASSED / 2)
    return tuple(sorted((room for room in polygons_of(wide) if room.area > LEAST_AREA), key=_reading_order))


def _holds(rooms: tuple[Polygon, ...], pieces: Pieces) -> tuple[int, ...]:
    """Return which class of the raster each room holds: that of the piece that it has most of."""
    of, piece = shapely.STRtree(pieces.polygons).query(rooms)
    shared = shapely.area(shapely.intersection(np.array(rooms)[of], np.array(pieces.polygons)[piece]))
    return tuple(pieces.powders[piece[of == k][shared[of == k].argmax()]] for k in range(len(rooms)))


def _reading_order(shape: Polygon) -> tuple[float, float]:
    left, _, _, top = shape.bounds
    return -round(top, 1), round(left, 1)


def insert(raster: Raster, room: tuple[float, float], depth: float, printing: Printing, shown: Showing) -> Insert:
    """Return the insert of a pattern.

    Parameters
    ----------
    raster
        The pattern as it is laid, before any heat.
    room
        Width and height of the can as the dividers see it, mm.
    depth
        The fill's depth, mm: how far the walls reach.
    printing
        How it is printed.
    shown
        How much of each place of the can shows on the ground faces.

    Raises
    ------
    RequestError
        If there is nothing to part, if the bead or the clearance leaves no room, if there are too many pieces, or the
        bed is too small.
    """
    bead, height = printing.bead, printing.height_in(depth)
    if printing.base >= height:
        problem = say("has to be thinner than the walls are tall, {}; given {}", mm(height), mm(printing.base))
        raise RequestError.at("printing.base", problem)
    inside = box(-room[0] / 2, -room[1] / 2, room[0] / 2, room[1] / 2)
    plate = inside.buffer(-printing.clearance, join_style="mitre")
    inner = inside.buffer(-printing.clearance - bead / 2, join_style="mitre")
    if inner.is_empty or min(inner.bounds[2] - inner.bounds[0], inner.bounds[3] - inner.bounds[1]) < 4 * bead:
        problem = say("leaves no room in a can of {}; given {}", mm(*room, form="g"), mm(printing.clearance))
        raise RequestError.at("printing.clearance", problem)
    lines = wall_lines(raster, inside, printing.tolerance)
    if not lines:
        raise RequestError.at("pattern", "the pattern is all one powder: there is nothing to part")
    if len(lines) > MOST_PIECES:
        many = f"has {len(lines)} walls; at most {MOST_PIECES} are joined in one line; larger pieces are needed"
        raise RequestError.at("pattern", many)
    pieces = pieces_between(lines, raster, inside)
    unheld = _unheld(pieces, bead)
    found = one_line(pieces, inside, inner, bead, shown)
    _check_bed(found, bead, height, printing.bed)
    taken = shapely.union_all([beads(line, bead) for line in found.lines])
    rooms = _rooms(taken, inside if printing.clearance < PASSED - 1e-6 else plate)
    return Insert(
        room, height, bead, printing.layer, printing.base, found, pieces, unheld, plate, taken, rooms,
        _holds(rooms, pieces), printing.bed,
    )  # fmt: skip


def insert_of(job: Job, printing: Printing | None = None, *, blade: bool = True) -> Insert:
    """Return the insert of a job's pattern; without ``blade`` bridges do not heed what shows on its faces.

    Bridges heed what shows of a blade ground flat over its full height: an insert is printed before the grind is
    settled, and is the same whatever that will be. What they harm is that on the job's own faces. Kept until something
    other than grind, etch or light changes. Errors are those of `insert`.
    """
    printing = printing or Printing()
    whatever_bed = printing.model_copy(update={"bed": (inf,) * 3})
    aside = looks_aside(job)
    made = _insert_of(aside.model_copy(update={"grind": Grind()}), laid_raster(job).cells, whatever_bed, blade)
    if isinstance(made, RequestError):
        raise made
    _check_bed(made.found, made.bead, made.height, printing.bed)
    harm = showing(aside).area(made.found.streaks) if blade else made.found.harm
    return replace(made, bed=printing.bed, found=replace(made.found, harm=harm))


@kept
def _insert_of(job: Job, cells: Cells, printing: Printing, blade: bool) -> Insert | RequestError:  # noqa: ARG001
    shown = showing(job) if blade else everywhere(job.pattern_area)
    try:
        return insert(laid_raster(job), job.pattern_area, job.divider_depth, printing, shown)
    except RequestError as error:
        return error  # that there is none is kept as well


def _unheld(pieces: Pieces, bead: float) -> tuple[int, ...]:
    """Return the pieces with no room for powder; raise where they are most of a powder."""
    roomy = [not polygon.buffer(-(bead + LEAST_ROOM) / 2).is_empty for polygon in pieces.polygons]
    for powder in set(pieces.powders):
        own = [number for number, each in enumerate(pieces.powders) if each == powder]
        areas = {number: float(pieces.polygons[number].area) for number in own}
        kept = sum(area for number, area in areas.items() if roomy[number])
        if kept < LEAST_HELD * sum(areas.values()):
            few = sum(not roomy[number] for number in own)
            problem = "{} of {} pieces of one powder are narrower than a bead of {} and room for powder beside it"
            raise RequestError.at("printing.bead", say(problem, few, len(own), mm(bead)))
    return tuple(number for number, room in enumerate(roomy) if not room)


def _check_bed(found: OneLine, bead: float, height: float, bed: tuple[float, float, float]) -> None:
    for line in found.lines:
        left, low, right, top = line.bounds
        size = (right - left + bead, top - low + bead)
        if height > bed[2] or any(a > b for a, b in zip(sorted(size), sorted(bed[:2]), strict=True)):
            problem = "a bed of {} is too small for an insert of {}"
            raise RequestError.at("printing.bed", say(problem, mm(*bed), mm(*size, height, form=".1f")))


def insert_notes(made: Insert) -> list[Sentence]:
    """Return what there is to know of an insert, in words."""
    found, notes = made.found, []
    if len(found.lines) > 1:
        told = "It takes {} lines, each in a file of its own: between them there is no room for a bridge {} wide."
        notes.append(say(told, len(found.lines), mm(2 * made.bead)))
    if found.bridges:
        told = "Bridges: {}, {} long together; they show as dark streaks on at most {} of the ground faces."
        notes.append(say(told, len(found.bridges), mm(found.bridge_length, form=".0f"), mm2(found.harm, ".1f")))
    if found.doubled.length > 0:
        told = "Where three powders meet {} of wall take two beads side by side."
        notes.append(say(told, mm(found.doubled.length, form=".0f")))
    if made.empty > LEAST_AREA:
        told = "Too thin for powder, so empty and dark on the blade: {} of the can's floor beside the beads{}."
        whole = say("; {} pieces are so as a whole", len(made.unheld)) if made.unheld else ""
        notes.append(say(told, mm2(made.empty, ".1f"), whole))
    return [*notes, *placing(made)]


@dataclass(frozen=True)
class SetDown:
    """Where a line of an insert that does not fill the can from side to side is set down.

    Parameters
    ----------
    name
        Which line it is.
    bounds
        Left, low, right, top of its plastic, from the can's middle, mm.
    loose
        Whether it can slide rightwards and leftwards, and upwards and downwards.
    """

    name: str
    bounds: tuple[float, float, float, float]
    loose: tuple[bool, bool]


def set_down(made: Insert) -> list[SetDown]:
    """Return each line that does not fill the can from side to side."""
    found, free = [], 2 * made.bead
    wide, high = made.plate.bounds[2] - made.plate.bounds[0] - free, made.plate.bounds[3] - made.plate.bounds[1] - free
    for number, line in enumerate(made.found.lines, start=1):
        left, low, right, top = line.buffer(made.bead / 2).bounds
        name = f"line {number} of the insert" if len(made.found.lines) > 1 else "the insert"
        loose = right - left < wide, top - low < high
        if any(loose):
            found.append(SetDown(name, (left, low, right, top), loose))
    return found


def placing(made: Insert) -> list[Sentence]:
    """Return where each line that does not fill the can from side to side is set down, in words."""
    told = []
    for each in set_down(made):
        left, low, _, _ = each.bounds
        found = [
            *[say("{} from the left", mm(left + made.room[0] / 2, form=".1f"))] * each.loose[0],
            *[say("{} from the lower side", mm(low + made.room[1] / 2, form=".1f"))] * each.loose[1],
        ]
        spots = found[0] if len(found) == 1 else say("{} and {}", *found)
        words = "Set {} down so that its plastic stands {} of the can's inside, as it is drawn."
        told.append(say(words, each.name, spots))
    return told
