"""A pattern drawn as shapes: the areas of an SVG's fills or of a DXF's closed lines, by the colours they show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from PIL import ImageColor
from shapely import LineString, Polygon, affinity

from preview.base.cache import kept
from preview.base.drawing import Colour, Drawing, Points, Shape
from preview.base.errors import FileError
from preview.base.files import read_bytes, stamp_of
from preview.base.shapes import read_shapes
from preview.base.units import Sentence, say
from preview.pattern.powders import Powder

LARGEST_FILE = 20_000_000
STRAY = 0.001
"""How far (mm) a chord may lie from the curve that it stands for."""

SAME = 0.2
"""An outline that misses the can's sides by no more (mm) is the can's own, and no shape."""

NEAR = 48.0
"""Distance in 8-bit RGB at which a line's colour still names a powder."""

Named = tuple[tuple[str, tuple[str, ...]], ...]
"""The powders' names, each with its colours."""


def names_of(powders: tuple[Powder, ...]) -> Named:
    """Return the powders' names and colours, which is all that a picture needs of them."""
    return tuple((powder.name, powder.colours) for powder in powders)


@dataclass(frozen=True, eq=False)
class Painted:
    """What a drawing shows.

    Parameters
    ----------
    areas
        Areas that do not overlap (shapely, mm, rightwards and upwards), each with its colour.
    page
        The page: left, low, right, top, mm.
    bare
        Colour of what is not painted.
    notes
        How it was read.
    """

    areas: tuple[tuple[Any, Colour], ...]
    page: tuple[float, float, float, float]
    bare: Colour
    notes: tuple[Sentence, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the page, mm."""
        left, low, right, top = self.page
        return right - left, top - low

    def laid(
        self, size: tuple[float, float], at: tuple[float, float], turn: float
    ) -> tuple[tuple[tuple[Any, Colour], ...], Any]:
        """Return the areas, each with its colour, and the page's, where the drawing lies in the can.

        Parameters
        ----------
        size
            Width and height that its page has there, mm.
        at
            The page's middle, rightwards and upwards of the can's, mm.
        turn
            Degrees counter-clockwise.
        """
        page = shapely.box(*self.page)
        wide, high = size[0] / self.size[0], size[1] / self.size[1]

        def carried(area: Any) -> Any:
            upright = affinity.scale(area, wide, high, origin=page.centroid)
            centred = affinity.translate(upright, -page.centroid.x, -page.centroid.y)
            return affinity.translate(affinity.rotate(centred, turn, origin=(0, 0)), *at)

        return tuple((carried(area.intersection(page)), colour) for area, colour in self.areas), carried(page)


def read_painted(path: Path, named: Named, room: tuple[float, float]) -> Painted:
    """Read the areas of an SVG or DXF file; kept until it changes.

    An SVG's fills count, the later over the earlier, on white paper. Of a DXF closed lines count, those within
    others as holes; each is of the powder that its layer is called by or its colour names, else of the second, on
    the first.

    Parameters
    ----------
    path
        The file.
    named
        The powders.
    room
        The can as the dividers see it, mm: a DXF's rectangle of that size stands for it.

    Raises
    ------
    FileError
        If the file cannot be read, or has no area in it.
    """
    return _read(path, stamp_of(path), named, room)


@kept
def _read(path: Path, stamp: tuple[int, int], named: Named, room: tuple[float, float]) -> Painted:  # noqa: ARG001
    content = read_bytes(path, LARGEST_FILE, "a drawing of the pattern")
    if not content.strip():
        msg = f"{path}: the file is empty; a drawing is needed"
        raise FileError(msg)
    drawing = read_shapes(path, content, stray=STRAY)
    if not any(shape.lines for shape in drawing.shapes):
        has = "there is only text in it: turn it into outlines" if drawing.has_text else "nothing is drawn in it"
        msg = f"{path}: {has}; filled or closed shapes are needed"
        raise FileError(msg)
    painted = _svg(path, drawing) if path.suffix.lower() == ".svg" else _dxf(path, drawing, named, room)
    if min(painted.size) <= 0:
        msg = f"{path}: the drawing has no size"
        raise FileError(msg)
    return painted


def _svg(path: Path, drawing: Drawing) -> Painted:
    filled = [(shape, area) for shape in drawing.shapes if shape.fill is not None and (area := _filled(shape)).area > 0]
    if not filled:
        msg = f"{path}: none of its shapes is filled; shapes filled in the powders' colours are needed"
        raise FileError(msg)
    notes = list(drawing.notes)
    bare = sum(shape.fill is None for shape in drawing.shapes)
    if bare:
        notes.append(say("{} shapes without a fill are left out: only fills are powder.", bare))
    layers = [(colour, [area for _, area in same]) for colour, same in groupby(filled, key=lambda each: each[0].fill)]
    areas = _seen([(shapely.union_all(each), colour) for colour, each in layers if colour is not None])
    page = drawing.page or shapely.union_all([area for area, _ in areas]).bounds
    return Painted(areas, page, (255, 255, 255), tuple(notes))


def _seen(layers: Sequence[tuple[Any, Colour]]) -> tuple[tuple[Any, Colour], ...]:
    """Return what is seen of each colour where areas are laid one over the other, the highest last."""
    seen: dict[Colour, list[Any]] = {}
    above: Any = Polygon()
    for area, colour in reversed(layers):
        seen.setdefault(colour, []).append(area.difference(above))
        above = above.union(area)
    return tuple((shapely.union_all(parts), colour) for colour, parts in seen.items())


def _filled(shape: Shape) -> Any:
    """Return the area that a shape's fill covers; its open lines are closed, as SVG does."""
    rings = [ring for line in shape.lines if len(line) > 2 and (ring := _ring(line, shape.rule)).area > 0]
    if shape.rule == "evenodd":
        whole: Any = Polygon()
        for ring in rings:
            whole = whole.symmetric_difference(ring)
        return whole
    return _nonzero(shape.lines, rings) if len(rings) > 1 else (rings[0] if rings else Polygon())


def _ring(line: Points, rule: str) -> Any:
    ring = Polygon(line)
    if ring.is_valid:
        return ring
    if rule == "evenodd":
        return shapely.make_valid(ring)
    closed = LineString([*line, line[0]])
    return shapely.union_all(list(shapely.polygonize([shapely.union_all([closed])]).geoms))


def _nonzero(lines: Sequence[Points], rings: Sequence[Any]) -> Any:
    """Return the area round which the lines run a number of times other than 0."""
    turns = [np.sign(_signed(line)) for line in lines if len(line) > 2 and _signed(line) != 0]
    if len(turns) != len(rings) or len(set(turns)) == 1:
        return shapely.union_all(rings)
    whole: Any = Polygon()
    placed: list[tuple[Any, float]] = []
    for ring, turn in sorted(zip(rings, turns, strict=True), key=lambda each: -each[0].area):
        round_it = turn + next((total for other, total in reversed(placed) if other.contains(ring)), 0.0)
        whole = whole.union(ring) if round_it else whole.difference(ring)
        placed.append((ring, round_it))
    return whole


def _signed(line: Points) -> float:
    x, y = line.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)


def _dxf(path: Path, drawing: Drawing, named: Named, room: tuple[float, float]) -> Painted:
    rings, loose = _closed(drawing, named)
    notes = list(drawing.notes)
    frame = [ring for ring, _ in rings if _is_can(ring, room)]
    rings = [each for each in rings if not _is_can(each[0], room)]
    if not rings:
        msg = f"{path}: none of its lines closes; shapes whose ends meet are needed"
        raise FileError(msg)
    if loose:
        notes.append(say("{} open lines are left out: only closed shapes are filled with powder.", loose))
    first = _first_colour(named, 0)
    under: list[tuple[Any, Colour, Colour]] = []
    for ring, colour in sorted(rings, key=lambda each: -each[0].area):
        around = next(((shown, beneath) for other, shown, beneath in reversed(under) if other.contains(ring)), None)
        shown, beneath = around or (first, first)
        # a shape within one of its own powder is a hole, through which what lies beneath that one shows
        under.append((ring, beneath, first) if shown == colour else (ring, colour, shown))
    layers = [(shown, [ring for ring, _, _ in same]) for shown, same in groupby(under, key=lambda each: each[1])]
    areas = _seen([(shapely.union_all(each), colour) for colour, each in layers])
    page = (frame[0] if frame else shapely.union_all([ring for ring, _ in rings])).bounds
    return Painted(areas, page, first, tuple(notes))


def _closed(drawing: Drawing, named: Named) -> tuple[list[tuple[Any, Colour]], int]:
    """Return a DXF's closed lines, each with its powder's colour, and how many others there are.

    Lines that meet end to end are one.
    """
    rings: list[tuple[Any, Colour]] = []
    open_lines: dict[Colour, list[LineString]] = {}
    for shape in drawing.shapes:
        colour = _powder_colour(shape, named)
        for line in shape.lines:
            if len(line) > 3 and np.allclose(line[0], line[-1]):
                rings.append((shapely.make_valid(Polygon(line)), colour))
            else:
                open_lines.setdefault(colour, []).append(LineString(np.round(line, 4)))
    loose = 0
    for colour, lines in open_lines.items():
        for joined in shapely.get_parts(shapely.line_merge(shapely.MultiLineString(lines))):
            if joined.is_ring:
                rings.append((Polygon(joined.coords), colour))
            else:
                loose += 1
    return [each for each in rings if each[0].area > 0], loose


def _powder_colour(shape: Shape, named: Named) -> Colour:
    """Return the first colour of the powder that a DXF's shape is of."""
    for number, (name, _) in enumerate(named):
        if shape.layer.casefold() == name.casefold():
            return _first_colour(named, number)
    if shape.colour is not None:
        for number, (_, colours) in enumerate(named):
            for colour in colours:
                if np.linalg.norm(np.subtract(ImageColor.getrgb(colour)[:3], shape.colour)) < NEAR:
                    return _first_colour(named, number)
    return _first_colour(named, 1)


def _first_colour(named: Named, number: int) -> Colour:
    red, green, blue = ImageColor.getrgb(named[number][1][0])[:3]
    return red, green, blue


def _is_can(ring: Any, room: tuple[float, float]) -> bool:
    left, low, right, top = ring.bounds
    sizes = (right - left - room[0], top - low - room[1], (ring.area - room[0] * room[1]) / max(room))
    return all(abs(off) < SAME for off in sizes)
