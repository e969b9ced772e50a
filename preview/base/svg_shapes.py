"""Shapes of an SVG file."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any

import numpy as np

from preview.base.drawing import (
    MM_OF,
    MOST_NUMBERS,
    PX_PER_INCH,
    Colour,
    Counted,
    Drawing,
    LeftOut,
    Shape,
    TooMuch,
    Unit,
    check_reach,
    counts,
)
from preview.base.settings import MM_PER_INCH
from preview.base.svg_bulk import bulk_fault
from preview.base.units import say

CHORDS = 32
"""Chords by which a curve's length is judged."""


def read_svg(content: bytes, stray: float, unit: Unit) -> Drawing:
    """Read what stands in an SVG file; see `read_shapes`."""
    import svgelements as svg

    if fault := bulk_fault(content, MOST_NUMBERS):
        raise TooMuch(fault)
    shapes, left_out, counted = [], [], Counted()
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
                    tuple(line for line in lines if counts(line)),
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
        check_reach(segment.end.x, segment.end.y)
        steps = 1
        if not isinstance(segment, (svg.Move, svg.Line, svg.Close)):
            # a chord of a circle of radius r strays by length**2 / (8 r); some 2 mm is the smallest radius of note
            steps = max(4, min(4000, round(_length(segment) / (8 * 2 * stray) ** 0.5)))
        yield from ((p.x, -p.y) for p in (segment.point(k / steps) for k in range(1, steps + 1)))


def _length(segment: Any) -> float:
    """Return a curve's length by chords, mm: the library's own sum takes gigabytes for a thin arc."""
    points = np.array([(p.x, p.y) for p in (segment.point(k / CHORDS) for k in range(CHORDS + 1))])
    check_reach(*points.ravel())
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
