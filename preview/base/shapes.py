"""Shapes of a flat drawing, SVG or DXF: read safely, in millimetres."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.base.errors import FileError
from preview.base.settings import LARGEST, MM_PER_INCH
from preview.base.svg_bulk import bulk_fault
from preview.base.units import Sentence, say

Unit = Literal["mm", "inch", "px"]
PX_PER_INCH = 96.0
"""Pixels in an inch: CSS Values and Units Module Level 3, section 6.2."""

MM_OF: Mapping[Unit, float] = {"mm": 1.0, "inch": MM_PER_INCH, "px": MM_PER_INCH / PX_PER_INCH}
"""How many mm a unit is."""

Colour = tuple[int, int, int]
Points = NDArray[np.float64]

FLAT = (".svg", ".dxf")
MOST_POINTS = 400_000
MOST_NUMBERS = 4 * MOST_POINTS
"""Points of a drawing that are taken, and numbers that may stand in its file."""

MOST_ENTITIES = 50_000
"""Entities of a DXF that are taken, each as often as it is inserted."""

DEEPEST = 20
"""How deep blocks may lie within each other."""

CHORDS = 32
"""Chords by which a curve's length is judged."""


@dataclass(frozen=True, eq=False)
class Shape:
    """One shape of a drawing.

    Parameters
    ----------
    lines
        Its lines (n, 2), mm, rightwards and upwards; closed ones end where they start.
    fill
        The colour that it is filled with, RGB bytes; None where it is not.
    rule
        How lines within lines are filled.
    layer, colour
        In a DXF the layer that it lies on, in an SVG its class; in a DXF its colour, RGB bytes, None where it has none
        of its own.
    """

    lines: tuple[Points, ...]
    fill: Colour | None = None
    rule: Literal["nonzero", "evenodd"] = "nonzero"
    layer: str = ""
    colour: Colour | None = None


@dataclass(frozen=True)
class LeftOut:
    """What stands in a drawing and is not read: of what kind, and a place of it, mm, rightwards and upwards."""

    kind: str
    at: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Drawing:
    """A flat drawing.

    Parameters
    ----------
    shapes
        Its shapes, from the lowest up.
    page
        Its page where it states one: left, low, right, top, mm.
    left_out
        What is in it and is not read, such as text.
    notes
        How it was read.
    """

    shapes: tuple[Shape, ...]
    page: tuple[float, float, float, float] | None
    left_out: tuple[LeftOut, ...]
    notes: tuple[Sentence, ...]

    @property
    def has_text(self) -> bool:
        """Whether there is text in it."""
        return any(each.kind == "text" for each in self.left_out)


def read_shapes(path: Path, content: bytes, *, stray: float, unit: Unit = "mm") -> Drawing:
    """Read an SVG or DXF file.

    Parameters
    ----------
    path
        The file, whose ending says what it is.
    content
        What stands in it.
    stray
        How far (mm) a chord may lie from the curve that it stands for.
    unit
        Unit of a drawing that states none.

    Raises
    ------
    FileError
        If it is broken, has too many points, or entities or scripts of its own.
    """
    kind = path.suffix.lower()
    if kind == ".svg":
        check_markup(path, content)
    if sum(1 for _ in re.finditer(rb"\d+(?:\.\d*)?", content)) > MOST_NUMBERS:
        raise _too_many(path)
    reader = _svg if kind == ".svg" else _dxf
    try:
        fault = bulk_fault(content, MOST_NUMBERS) if kind == ".svg" else None
        if fault:
            msg = f"{path}: {fault}"
            raise FileError(msg)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused later on, or harmless
            found = reader(path, content, stray, unit)
    except FileError:
        raise
    except _TooMuch as error:
        msg = f"{path}: {error}"
        raise FileError(msg) from None
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        told = " ".join(str(error).split())[:200] or type(error).__name__
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({told})"
        raise FileError(msg) from None
    return found


class _TooMuch(Exception):
    """A drawing that is too large, with the reason."""


class _Counted:
    """Makes the lines of a drawing, as long as they are not too many, and none reaches too far."""

    def __init__(self) -> None:
        self.points = 0

    def line(self, points: Iterable[tuple[float, float]]) -> Points:
        """Return a line of points (n, 2), mm."""
        taken = list(islice(points, MOST_POINTS + 1 - self.points))
        self.points += len(taken)
        if self.points > MOST_POINTS:
            msg = f"over {MOST_POINTS} points are too many; simplify the drawing"
            raise _TooMuch(msg)
        return np.array(taken, dtype=float).reshape(-1, 2)


def _check_reach(*places: float) -> None:
    """Raise where places (mm) are farther than any drawing goes."""
    if not max(map(abs, places), default=0.0) <= LARGEST:
        msg = f"it reaches over {LARGEST / 1000:g} m; a drawing in mm is needed"
        raise _TooMuch(msg)


def _too_many(path: Path) -> FileError:
    return FileError(f"{path}: over {MOST_POINTS} points are too many; simplify the drawing")


def check_markup(path: Path, start: bytes) -> None:
    """Raise `FileError` where XML defines entities or holds a script."""
    start = start.replace(b"\0", b"")  # as it reads in any of the encodings that XML has
    if b"<!entity" in start.lower():
        msg = f"{path}: its XML defines entities of its own, which are not taken; save it without them"
        raise FileError(msg)
    if re.search(rb"<\s*(?:\w+:)?script", start, re.IGNORECASE):
        msg = f"{path}: holds a script, which is not taken; save it as a plain drawing"
        raise FileError(msg)


def _svg(path: Path, content: bytes, stray: float, unit: Unit) -> Drawing:  # noqa: ARG001
    import svgelements as svg

    shapes, left_out, counted = [], [], _Counted()
    start = re.search(rb"<(?:\w+:)?svg[^>]*>", content, re.DOTALL)
    sized = start and re.search(rb"\swidth\s*=\s*[\"'][\d.eE+-]+\s*(mm|cm|in|pt|pc|px)", start[0])
    # what a bare number is; a page in mm whose numbers have no scale of their own is taken to have them in mm
    bare: Unit = unit if not sized else "px" if sized[1] == b"px" else "mm"
    scale = MM_OF[bare]
    whole = svg.SVG.parse(io.BytesIO(content), ppi=MM_PER_INCH / scale)
    for element in whole.elements():
        if element.values.get("display") == "none":
            continue
        if isinstance(element, (svg.Text, svg.Image)):
            place = element.transform.point_in_matrix_space((float(element.x or 0), float(element.y or 0)))
            kind = "text" if isinstance(element, svg.Text) else "picture"
            left_out.append(LeftOut(kind, (place.x * scale, -place.y * scale)))
        if isinstance(element, svg.Shape):
            outline = abs(svg.Path(element) * svg.Matrix.scale(scale))  # with its transforms worked in
            lines = [counted.line(_svg_line(piece, stray)) for piece in outline.as_subpaths()]
            shapes.append(
                Shape(
                    tuple(line for line in lines if _counts(line)),
                    fill=_svg_fill(element),
                    rule="evenodd" if element.values.get("fill-rule") == "evenodd" else "nonzero",
                    layer=str(element.values.get("class") or ""),
                )
            )
    width, height = float(whole.width or 0) * scale, float(whole.height or 0) * scale
    page = (0.0, -height, width, 0.0) if width and height else None
    notes = []
    if not sized:
        notes.append(say("The drawing states no unit of length; its numbers are read as {}.", unit))
    if bare == "px":
        notes.append(say("It is drawn in px, of which {} are an inch.", f"{PX_PER_INCH:g}"))
    return Drawing(tuple(shapes), page, tuple(left_out), tuple(notes))


def _svg_fill(element: Any) -> Colour | None:
    fill = element.fill
    shown = element.values.get("visibility") != "hidden"
    if fill is None or fill.value is None or not fill.alpha or not shown:
        return None
    return int(fill.red), int(fill.green), int(fill.blue)


def _svg_line(piece: Any, stray: float) -> Iterator[tuple[float, float]]:
    import svgelements as svg

    for segment in piece:
        if segment.end is None:
            continue
        _check_reach(segment.end.x, segment.end.y)
        steps = 1
        if not isinstance(segment, (svg.Move, svg.Line, svg.Close)):
            # a chord of a circle of radius r strays by length**2 / (8 r); some 2 mm is the smallest radius of note
            steps = max(4, min(4000, round(_length(segment) / (8 * 2 * stray) ** 0.5)))
        yield from ((p.x, -p.y) for p in (segment.point(k / steps) for k in range(1, steps + 1)))


def _length(segment: Any) -> float:
    """Return a curve's length by chords, mm: the library's own sum takes gigabytes for a thin arc."""
    points = np.array([(p.x, p.y) for p in (segment.point(k / CHORDS) for k in range(CHORDS + 1))])
    _check_reach(*points.ravel())
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _dxf(path: Path, content: bytes, stray: float, unit: Unit) -> Drawing:
    import ezdxf
    from ezdxf import path as paths

    del content  # ezdxf finds out the encoding from the file itself
    document = ezdxf.readfile(path)
    stated = {1: MM_PER_INCH, 2: 12 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}.get(document.header.get("$INSUNITS", 0))
    factor = stated or MM_OF[unit]
    shapes: list[Shape] = []
    left_out: list[LeftOut] = []
    counted = _Counted()
    for entity in islice(_unpacked(document.modelspace()), MOST_ENTITIES + 1):
        if len(shapes) + len(left_out) == MOST_ENTITIES:
            msg = f"over {MOST_ENTITIES} entities are too many, each as often as it is inserted; simplify the drawing"
            raise _TooMuch(msg)
        if entity.dxftype() in {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            lines = []
            for drawn in paths.make_path(entity).sub_paths():
                _check_reach(*(each * factor for point in drawn.control_vertices() for each in (point.x, point.y)))
                line = counted.line((p.x * factor, p.y * factor) for p in drawn.flattening(stray / factor))
                lines.append(np.concatenate([line, line[:1]]) if drawn.is_closed else line)
            found = tuple(line for line in lines if _counts(line))
            shapes.append(Shape(found, layer=str(entity.dxf.layer), colour=_dxf_colour(document, entity)))
        else:
            left_out.append(_dxf_left_out(entity, factor))
    notes = () if stated else (say("The drawing states no unit; it is read in {}.", unit),)
    return Drawing(tuple(shapes), None, tuple(left_out), notes)


def _dxf_left_out(entity: Any, factor: float) -> LeftOut:
    from ezdxf import bbox

    kind = str(entity.dxftype())
    if entity.dxf.hasattr("insert"):
        place = entity.dxf.insert
    else:
        extent = bbox.extents([entity])
        place = extent.center if extent.has_data else (0.0, 0.0)
    at = (float(place[0]) * factor, float(place[1]) * factor)
    return LeftOut("text" if kind in {"TEXT", "MTEXT"} else kind.lower(), at)


def _unpacked(entities: Any, depth: int = 0) -> Iterator[Any]:
    """Yield entities, those of blocks in the places where the blocks are inserted."""
    for entity in entities:
        if entity.dxftype() == "INSERT":
            if depth == DEEPEST:
                msg = f"blocks lie over {DEEPEST} deep within each other"
                raise _TooMuch(msg)
            yield from _unpacked(entity.virtual_entities(), depth + 1)
        else:
            yield entity


def _dxf_colour(document: Any, entity: Any) -> Colour | None:
    """Return an entity's colour, its layer's where it has none; None for the usual one, which is black on white."""
    from ezdxf.colors import aci2rgb

    if entity.rgb is not None:
        return tuple(entity.rgb)
    number = entity.dxf.color
    if number == 256 and entity.dxf.layer in document.layers:
        layer = document.layers.get(entity.dxf.layer)
        if layer.rgb is not None:
            return tuple(layer.rgb)
        number = layer.color
    return tuple(aci2rgb(number)) if 0 < number < 256 and number != 7 else None


def _counts(line: Points) -> bool:
    return len(line) > 1 and bool(np.isfinite(line).all()) and bool((line != line[0]).any())
