"""The regions of the can that dividers hold apart, and the pattern that fills them with powders."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageColor, ImageDraw, ImageFont
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry import box

from preview.base.arrays import Bytes
from preview.base.drawing import Unit
from preview.base.errors import FileError, RequestError
from preview.base.units import Sentence, mm, say
from preview.base.words import brief
from preview.filling.drawn import Drawn, read_drawn
from preview.filling.walls import PASSED
from preview.pattern.powders import Powder

THICKEST_WALL = 1.2
"""Flat drawings whose closed outlines are nowhere near thicker (mm, on the mean) draw the walls' outlines."""

SMALLEST_REGION = 0.05
"""Regions under this area (mm2) belong to what lies beside them."""

CLOSE = 0.3
"""A wall that ends this near (mm) to the can's side ends at it."""

SLACK = 0.5
"""How far (mm) a drawing may reach beyond the can: half a wall, a printer's skirt."""

MOST_TOLD = 6
"""Lines left out that are told one by one."""

PX_PER_MM = 24.0
"""Resolution of the pattern made from regions."""

UNEVEN = 0.02
"""Share of a solid's section that lies deeper than walls of even thickness have room for, from which on it is a body to
print round."""

Walls = Literal["lines", "outlines"]
Solid = Literal["walls", "body"]


@dataclass(frozen=True, eq=False)
class Regions:
    """What dividers hold apart.

    Parameters
    ----------
    room
        The can as the dividers see it: width and height, mm.
    polygons
        The regions without the walls, mm from the can's middle, from the upper left on; region 1 comes first.
    notes
        How the drawing was read.
    """

    room: tuple[float, float]
    polygons: tuple[Polygon, ...]
    notes: tuple[Sentence, ...]

    def at(self, right: float, up: float) -> int | None:
        """Return the number (from 1) of the region at a place of the can (mm from its middle), walls to the nearest."""
        width, height = self.room
        if abs(right) > width / 2 or abs(up) > height / 2:
            return None
        place = shapely.Point(right, up)
        return int(np.argmin([region.distance(place) for region in self.polygons])) + 1

    def filled(self, powders: tuple[Powder, ...], assigned: Mapping[int, str], px_per_mm: float = PX_PER_MM) -> Bytes:
        """Return the pattern picture, ``(rows, columns, 3)`` bytes, of regions filled as ``assigned``.

        Parameters
        ----------
        powders
            The job's powders; regions not assigned hold the first.
        assigned
            The powder of each region by its number, from 1.

        Raises
        ------
        RequestError
            If a region or a powder is unknown.
        """
        names = [powder.name for powder in powders]
        count = len(self.polygons)
        for number, name in assigned.items():
            if not 1 <= number <= count:
                raise RequestError.at("fill", f"there are regions 1 to {count}; given {number}")
            if name not in names:
                raise RequestError.at(
                    "fill", f"region {number} has to hold one of {', '.join(names)}; given {brief(name)}"
                )
        palette = np.array([ImageColor.getrgb(powder.colours[0])[:3] for powder in powders], dtype=np.uint8)
        holds = np.array([names.index(assigned.get(number, names[0])) for number in range(1, count + 1)])
        return np.asarray(palette[holds[self._map(px_per_mm)]])

    def numbered(self, powders: tuple[Powder, ...], assigned: Mapping[int, str], px_per_mm: float) -> Bytes:
        """Return the filled regions with their walls and numbers drawn in, RGB bytes: to assign powders by."""
        fine = 2 * px_per_mm  # drawn twice as large and averaged, so that lines are smooth
        filled = self.filled(powders, assigned, fine)
        picture = Image.fromarray((filled * 0.7 + 38).astype(np.uint8))
        draw = ImageDraw.Draw(picture)
        width, height = self.room
        size = max(22, round(1.6 * fine))
        font = ImageFont.load_default(size=size)
        for region in self.polygons:
            for ring in (region.exterior, *region.interiors):
                places = [((x + width / 2) * fine, (height / 2 - y) * fine) for x, y in ring.coords]
                draw.line(places, fill=(196, 62, 30), width=3)
        for number, region in enumerate(self.polygons, start=1):
            x, y = shapely.maximum_inscribed_circle(region).coords[0]
            at = (
                min(max((x + width / 2) * fine, size), picture.width - size),
                min(max((height / 2 - y) * fine, size / 2), picture.height - size / 2),
            )
            draw.text(
                at, str(number), fill=(255, 196, 84), font=font, anchor="mm", stroke_width=4, stroke_fill=(20, 20, 20)
            )
        return np.asarray(picture.reduce(2))

    def _map(self, px_per_mm: float = PX_PER_MM) -> NDArray[np.int32]:
        """Return which region each cell of the can belongs to, ``(rows, columns)``, from 0; row 0 is the upper one.

        Walls go to the nearest region, so that powders meet along the middle of the wall that burns out.
        """
        from scipy.ndimage import distance_transform_edt

        width, height = self.room
        columns, rows = round(width * px_per_mm), round(height * px_per_mm)
        sheet = Image.new("I", (columns, rows), -1)
        draw = ImageDraw.Draw(sheet)
        for number, region in sorted(enumerate(self.polygons), key=lambda item: -Polygon(item[1].exterior).area):
            for ring, value in ((region.exterior, number), *((hole, -1) for hole in region.interiors)):
                # a pixel's middle is half a pixel from its corner
                draw.polygon(
                    [((x + width / 2) * px_per_mm - 0.5, (height / 2 - y) * px_per_mm - 0.5) for x, y in ring.coords],
                    fill=value,
                )
        labels = np.asarray(sheet, dtype=np.int32)
        nearest = distance_transform_edt(labels < 0, return_distances=False, return_indices=True)
        return np.asarray(labels[tuple(nearest)])


def read_regions(
    path: Path,
    room: tuple[float, float],
    *,
    unit: Unit = "mm",
    height: float | None = None,
    walls: Walls | None = None,
    solid: Solid | None = None,
    close: float = 0.0,
    bead: float = 0.4,
) -> Regions:
    """Read dividers from a file and return the regions of the can they hold apart.

    Parameters
    ----------
    path, unit, height
        See `preview.filling.drawn.read_drawn`.
    room
        The can as the dividers see it, mm.
    walls
        Whether a flat drawing's ``lines`` are the walls' middles, or the walls' ``outlines``; by default it is
        judged by how thick the walls would be.
    solid
        Whether a solid is the ``walls`` themselves or a ``body`` whose outline is printed round and round; by default
        it is judged by how even its thickness is.
    close
        Gaps up to this (mm) between the end of a line and what it nearly meets are closed.
    bead
        Width of the bead that goes round a solid body meant for spiral printing, mm.

    Raises
    ------
    FileError
        If the file cannot be read, does not fit the can, or closes no region.
    """
    drawn = read_drawn(path, unit=unit, height=height)
    drawn, mended = _closed(drawn, close)
    taken, notes = _walls(drawn, room, walls, solid, bead)
    everything = taken if taken is not None else shapely.union_all(drawn.lines)
    shift, moved = _into_can(path, everything, drawn, room, unit)
    inside = box(-room[0] / 2 + CLOSE, -room[1] / 2 + CLOSE, room[0] / 2 - CLOSE, room[1] / 2 - CLOSE)
    if taken is not None:
        free = inside.difference(translate(taken, *shift)).buffer(-PASSED / 2).buffer(PASSED / 2)
    else:
        lines = shapely.union_all([translate(everything, *shift), inside.boundary])
        moved = (*moved, *_loose(lines, inside))
        free = shapely.MultiPolygon(
            [face for face in shapely.polygonize([lines]).geoms if inside.contains(face.representative_point())]
        )
    faces = [face for face in getattr(free, "geoms", [free]) if isinstance(face, Polygon)]
    regions = [face for face in faces if face.area > SMALLEST_REGION]
    if len(regions) < 2:
        msg = f"{path}: the dividers hold nothing apart; their lines have to close, or to end at the can's sides"
        raise FileError(msg)
    regions.sort(key=lambda face: (-round(face.bounds[3], 1), round(face.bounds[0], 1)))
    return Regions(room, tuple(regions), (*drawn.notes, *mended, *notes, *moved))


def _rings(drawn: Drawn, room: tuple[float, float]) -> list[Polygon]:
    """Return the closed lines of a flat drawing but the can's own outline."""
    rings = [Polygon(line.coords) for line in drawn.lines if line.is_ring]
    return [ring for ring in rings if not _is_can(ring, room)]


def _is_can(ring: Polygon, room: tuple[float, float]) -> bool:
    left, low, right, top = ring.bounds
    sizes = (right - left - room[0], top - low - room[1], (ring.area - room[0] * room[1]) / max(room))
    return all(abs(off) < 0.2 for off in sizes)


def _walls(
    drawn: Drawn, room: tuple[float, float], walls: Walls | None, solid: Solid | None, bead: float
) -> tuple[Any, tuple[Sentence, ...]]:
    """Return the walls' area, or None where the lines are their middles, and a note on how that was judged."""
    if drawn.walls is not None:
        return _round(drawn.walls, solid, bead)
    rings = _rings(drawn, room)
    whole: Any = Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(shapely.make_valid(ring))
    if walls is None:
        is_open = not all(line.is_ring for line in drawn.lines)
        thick = 2 * whole.area / whole.length if whole.length else np.inf
        walls = "outlines" if not is_open and thick < THICKEST_WALL else "lines"
    if walls == "outlines":
        return whole, (say("Closed lines are read as the outlines of walls."),)
    return None, (say("Lines are read as the middles of thin walls."),)


def _round(section: Any, solid: Solid | None, bead: float) -> tuple[Any, tuple[Sentence, ...]]:
    """Return a solid's walls: what is cut of it, or of a body meant for spiral printing the bead round it."""
    thick = 2 * section.area / section.length
    even = section.buffer(-0.6 * thick).area < UNEVEN * section.area
    if (solid or ("walls" if even else "body")) == "walls":
        return section, ()
    note = say("The solid is a body to print round: its walls are a bead of {} along its outline.", mm(bead))
    return section.difference(section.buffer(-bead)), (note,)


def _closed(drawn: Drawn, close: float) -> tuple[Drawn, tuple[Sentence, ...]]:
    """Return a flat drawing with small gaps at its lines' ends closed, and what was closed."""
    added = []
    for number, line in enumerate(drawn.lines):
        if not close or line.is_ring:
            continue
        others = shapely.MultiLineString([each for k, each in enumerate(drawn.lines) if k != number])
        start, end = shapely.Point(line.coords[0]), shapely.Point(line.coords[-1])
        ways = [shapely.shortest_line(place, each) for place, each in ((start, others), (end, others), (start, end))]
        added += [way for way in ways if 0 < way.length <= close]
    if not added:
        return drawn, ()
    note = say("{} gaps of up to {} are closed.", len(added), mm(max(way.length for way in added), form=".2g"))
    return replace(drawn, lines=(*drawn.lines, *added)), (note,)


def _loose(lines: Any, inside: Polygon) -> list[Sentence]:
    """Return a note for each line that holds nothing apart, with the place where it ends."""
    _, _, dangles, _ = shapely.polygonize_full([lines])
    # beyond the can's side a line may run out
    ends = [shapely.Point(line.coords[at]) for line in dangles.geoms for at in (0, -1)]
    ends = [end for end in ends if inside.contains(end)]
    free = [end for end in ends if sum(end.distance(line) < 1e-9 for line in getattr(lines, "geoms", [lines])) == 1]
    told = "A line that ends free at {} from the can's middle holds nothing apart and is left out."
    return [
        say(told, mm(round(end.x, 2) + 0.0, round(end.y, 2) + 0.0, form="+.2f", between=", "))
        for end in free[:MOST_TOLD]
    ]


def _into_can(
    path: Path, walls: Any, drawn: Drawn, room: tuple[float, float], unit: Unit
) -> tuple[tuple[float, float], tuple[Sentence, ...]]:
    """Return how far the drawing is moved to lie in the can's frame, and a note that says so."""
    left, low, right, top = walls.bounds
    width, height = right - left, top - low
    if width > room[0] + 2 * SLACK or height > room[1] + 2 * SLACK:
        problem = "{}: the dividers are {} (read in {}), and the can has {} there"
        raise FileError(say(problem, path, mm(width, height), unit, mm(*room, form="g")))
    if unit == "mm" and max(width / room[0], height / room[1]) < 1 / 10:
        problem = "{}: the dividers are only {} in a can of {}; were they drawn in inches? Then give the unit inch"
        raise FileError(say(problem, path, mm(width, height, form=".3g"), mm(*room, form="g")))
    for line in drawn.lines:
        if line.is_ring and _is_can(Polygon(line.coords), room):
            middle = line.envelope.centroid
            return (-middle.x, -middle.y), (say("The can's outline in the drawing places it."),)
    if drawn.page is not None:
        page = drawn.page
        if abs(page[2] - page[0] - room[0]) < CLOSE and abs(page[3] - page[1] - room[1]) < CLOSE:
            middle_of_page = (-(page[0] + page[2]) / 2, -(page[1] + page[3]) / 2)
            return middle_of_page, (say("The drawing's page is as large as the can, and is laid on it."),)
    half = room[0] / 2 + SLACK, room[1] / 2 + SLACK
    if -half[0] <= left and right <= half[0] and -half[1] <= low and top <= half[1]:
        return (0.0, 0.0), (say("The drawing's origin is taken for the middle of the can."),)
    if left >= -SLACK and right <= room[0] + SLACK and low >= -SLACK and top <= room[1] + SLACK:
        return (-room[0] / 2, -room[1] / 2), (say("The drawing's origin is taken for the can's lower left corner."),)
    return (-(left + right) / 2, -(low + top) / 2), (say("The drawing's middle is laid on the middle of the can."),)
