"""Shapes of a flat drawing, SVG or DXF: read safely, in millimetres."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.base.errors import FileError
from preview.base.settings import MM_PER_INCH
from preview.base.units import Sentence, say

Unit = Literal["mm", "inch"]
Colour = tuple[int, int, int]
Points = NDArray[np.float64]

FLAT = (".svg", ".dxf")
MOST_POINTS = 400_000
MOST_NUMBERS = 4 * MOST_POINTS
"""Points of a drawing that are taken, and numbers that may stand in its file."""


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
        In a DXF the layer that it lies on, and its colour, RGB bytes; None where it has none of its own.
    """

    lines: tuple[Points, ...]
    fill: Colour | None = None
    rule: Literal["nonzero", "evenodd"] = "nonzero"
    layer: str = ""
    colour: Colour | None = None


@dataclass(frozen=True, eq=False)
class Drawing:
    """A flat drawing.

    Parameters
    ----------
    shapes
        Its shapes, from the lowest up.
    page
        Its page where it states one: left, low, right, top, mm.
    has_text
        Whether there is text in it, which is not read.
    notes
        How it was read.
    """

    shapes: tuple[Shape, ...]
    page: tuple[float, float, float, float] | None
    has_text: bool
    notes: tuple[Sentence, ...]


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
        Unit of a DXF that states none.

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
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused later on, or harmless
            found = reader(path, content, stray, unit)
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        told = " ".join(str(error).split())[:200]
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({type(error).__name__}: {told})"
        raise FileError(msg) from None
    if sum(len(line) for shape in found.shapes for line in shape.lines) > MOST_POINTS:
        raise _too_many(path)
    return found


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

    shapes = []
    # with as many pixels to the inch as an inch has millimetres, a pixel is one; SVG states its unit
    whole = svg.SVG.parse(io.BytesIO(content), ppi=MM_PER_INCH)
    for element in whole.elements():
        if isinstance(element, svg.Shape) and element.values.get("display") != "none":
            outline = abs(svg.Path(element))  # with its transforms worked in
            lines = (_svg_line(piece, stray) for piece in outline.as_subpaths())
            shapes.append(
                Shape(
                    tuple(line for line in lines if _counts(line)),
                    fill=_svg_fill(element),
                    rule="evenodd" if element.values.get("fill-rule") == "evenodd" else "nonzero",
                )
            )
    width, height = float(whole.width or 0), float(whole.height or 0)
    stated = re.search(rb"<(?:\w+:)?svg[^>]*>", content, re.DOTALL)
    told = stated is not None and re.search(rb"\swidth\s*=\s*[\"'][\d.eE+-]+\s*(?:mm|cm|in|pt|pc)", stated[0])
    notes = () if told else (say("The drawing states no unit of length; its numbers are read as mm."),)
    return Drawing(tuple(shapes), (0.0, -height, width, 0.0) if width and height else None, b"<text" in content, notes)


def _svg_fill(element: Any) -> Colour | None:
    fill = element.fill
    shown = element.values.get("visibility") != "hidden"
    if fill is None or fill.value is None or not fill.alpha or not shown:
        return None
    return int(fill.red), int(fill.green), int(fill.blue)


def _svg_line(piece: Any, stray: float) -> Points:
    import svgelements as svg

    points: list[tuple[float, float]] = []
    for segment in piece:
        if segment.end is None:
            continue
        steps = 1
        if not isinstance(segment, (svg.Move, svg.Line, svg.Close)):
            # a chord of a circle of radius r strays by length**2 / (8 r); some 2 mm is the smallest radius of note
            steps = max(4, min(4000, round(segment.length(error=1e-3) / (8 * 2 * stray) ** 0.5)))
        points += [(p.x, -p.y) for p in (segment.point(k / steps) for k in range(1, steps + 1))]
    return np.array(points, dtype=float).reshape(-1, 2)


def _dxf(path: Path, content: bytes, stray: float, unit: Unit) -> Drawing:
    import ezdxf
    from ezdxf import path as paths

    del content  # ezdxf finds out the encoding from the file itself
    document = ezdxf.readfile(path)
    stated = {1: MM_PER_INCH, 2: 12 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}.get(document.header.get("$INSUNITS", 0))
    factor = stated or (MM_PER_INCH if unit == "inch" else 1.0)
    shapes, has_text = [], False
    for entity in _unpacked(document.modelspace()):
        has_text = has_text or entity.dxftype() in {"TEXT", "MTEXT"}
        if entity.dxftype() in {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            lines = []
            for drawn in paths.make_path(entity).sub_paths():
                points = [(p.x * factor, p.y * factor) for p in drawn.flattening(stray / factor)]
                lines.append(np.array([*points, points[0]] if drawn.is_closed and points else points, dtype=float))
            found = tuple(line.reshape(-1, 2) for line in lines if _counts(line))
            shapes.append(Shape(found, layer=str(entity.dxf.layer), colour=_dxf_colour(document, entity)))
    notes = () if stated else (say("The drawing states no unit; it is read in {}.", unit),)
    return Drawing(tuple(shapes), None, has_text, notes)


def _unpacked(entities: Any) -> Iterator[Any]:
    """Yield entities, those of blocks in the places where the blocks are inserted."""
    for entity in entities:
        if entity.dxftype() == "INSERT":
            yield from _unpacked(entity.virtual_entities())
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
