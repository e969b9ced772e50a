"""Closed lines read from a drawing: SVG or DXF, in millimetres."""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.files import read_bytes
from preview.base.settings import MM_PER_INCH
from preview.base.units import mm, say

DRAWINGS = (".svg", ".dxf")
LARGEST_FILE = 5_000_000
MOST_POINTS = 100_000
"""Limits in bytes and points; an outline needs far less."""

FLATTENED = 0.002
"""How far (mm) a chord may lie from the curve it stands for."""

JOINED = 0.05
"""Ends of lines that are nearer than this (mm) are one: drawings often have an outline in pieces."""

_SAME = 1e-4
"""Points of a line nearer than this (mm) to the one before are left out."""

_Line = list[tuple[float, float]]


def read_shapes(path: Path) -> list[Array]:
    """Return the closed lines of a drawing, each ``(n, 2)``: x to the right, y up, mm, the first point not repeated.

    Pieces whose ends meet are put together; lines that stay open are left out where there are closed ones.
    A unit that a drawing does not state is taken as a millimetre.

    Raises
    ------
    FileError
        If the file is missing, broken, too large, or holds no closed line.
    """
    kind = path.suffix.lower()
    if kind not in DRAWINGS:
        msg = f"{path}: an outline is read from {' or '.join(DRAWINGS)}; given {kind or 'a name without ending'}"
        raise FileError(msg)
    content = read_bytes(path, LARGEST_FILE, "a drawing of an outline")
    if not content.strip():
        msg = f"{path}: the file is empty; a drawing of an outline is needed"
        raise FileError(msg)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused below, or harmless
            lines, words = _svg(path, content) if kind == ".svg" else _dxf(path)
    except FileError:
        raise
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        told = " ".join(str(error).split())[:200]
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({type(error).__name__}: {told})"
        raise FileError(msg) from None
    if sum(map(len, lines)) > MOST_POINTS:
        msg = f"{path}: {sum(map(len, lines))} points are too many; at most {MOST_POINTS} are taken: simplify the line"
        raise FileError(msg)
    lines = [line for line in lines if len(set(line)) > 1 and np.isfinite(line).all()]
    if not lines:
        holds = f"nothing but text in it ({words} times)" if words else "no line in it"
        msg = f"{path}: there is {holds}; one closed outline is needed"
        raise FileError(msg)
    return _closed(path, lines)


def _svg(path: Path, content: bytes) -> tuple[list[_Line], int]:
    import svgelements as svg

    plain = content.replace(b"\0", b"").lower()  # as it reads in any of the encodings XML has
    for mark, what in ((b"<!entity", "defines entities of its own"), (b"<script", "holds a script")):
        if mark in plain:
            msg = f"{path}: the SVG {what}, which is not taken; save it as a plain drawing"
            raise FileError(msg)
    lines: list[_Line] = []
    words = 0
    # with as many pixels to the inch as an inch has millimetres, a pixel is one; SVG states its unit
    for element in svg.SVG.parse(io.BytesIO(content), ppi=MM_PER_INCH).elements():
        words += isinstance(element, svg.Text)
        if isinstance(element, svg.Shape) and element.values.get("display") != "none":
            whole = abs(svg.Path(element))  # with its transforms worked in
            lines += [_flattened(piece) for piece in whole.as_subpaths()]
    return lines, words


def _flattened(piece: Any) -> _Line:
    import svgelements as svg

    points: _Line = []
    for segment in piece:
        if segment.end is None:
            continue
        steps = 1
        if not isinstance(segment, (svg.Move, svg.Line, svg.Close)):
            # a chord of a circle of radius r strays by length**2 / (8 r); some 2 mm is the smallest radius of note
            steps = max(8, min(2000, round(segment.length(error=1e-3) / (8 * 2 * FLATTENED) ** 0.5)))
        points += [(p.x, -p.y) for p in (segment.point(k / steps) for k in range(1, steps + 1))]
    return points


def _dxf(path: Path) -> tuple[list[_Line], int]:
    import ezdxf
    from ezdxf import path as paths

    document = ezdxf.readfile(path)
    stated = {1: MM_PER_INCH, 2: 12 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}.get(document.header.get("$INSUNITS", 0))
    factor = stated or 1.0
    lines: list[_Line] = []
    words = 0
    for entity in document.modelspace():
        words += entity.dxftype() in {"TEXT", "MTEXT"}
        if entity.dxftype() in {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            for drawn in paths.make_path(entity).sub_paths():
                points = [(p.x * factor, p.y * factor) for p in drawn.flattening(FLATTENED / factor)]
                lines.append([*points, points[0]] if drawn.is_closed and points else points)
    return lines, words


def _closed(path: Path, lines: list[_Line]) -> list[Array]:
    """Return the closed lines, put together from pieces where need be."""
    ends = np.array([end for line in lines for end in (line[0], line[-1])])
    pairs = cKDTree(ends).query_pairs(JOINED, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(ends), len(ends)))
    meeting = connected_components(links)[1]
    places = [tuple(ends[first]) for first in np.unique(meeting, return_index=True)[1]]
    pieces = [
        [places[meeting[2 * n]], *line[1:-1], places[meeting[2 * n + 1]]] if len(line) > 2 or _far(line) else line
        for n, line in enumerate(lines)
    ]
    merged = shapely.line_merge(shapely.multilinestrings([shapely.linestrings(piece) for piece in pieces]))
    found = [np.asarray(shapely.get_coordinates(line)) for line in shapely.get_parts(merged)]
    found = [line[np.r_[True, np.hypot(*np.diff(line, axis=0).T) > _SAME]] for line in found]
    rings = [line[:-1] for line in found if len(line) > 3 and np.hypot(*(line[0] - line[-1])) <= _SAME]
    if not rings:
        longest = max(found, key=lambda line: float(np.hypot(*np.diff(line, axis=0).T).sum()))
        gap = float(np.hypot(*(longest[0] - longest[-1])))
        problem = "{}: its outline is open, with {} between its ends; one closed outline is needed"
        raise FileError(say(problem, path, mm(gap, form=".3g")))
    return rings


def _far(line: _Line) -> bool:
    return float(np.hypot(line[0][0] - line[-1][0], line[0][1] - line[-1][1])) > JOINED
