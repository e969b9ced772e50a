"""The one closed line of a drawing, SVG or DXF, that is a blade's outline, in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
from shapely.validation import explain_validity

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.shapes import FLAT, read_shapes
from preview.base.units import Sentence, mm, say

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


def closed_lines(path: Path, content: bytes) -> list[Array]:
    """Return the closed lines of a drawing, each ``(n, 2)``: x to the right, y up, mm, the first point not repeated.

    Pieces whose ends meet are put together; lines that stay open are left out where there are closed ones.
    A unit that a drawing does not state is taken as a millimetre.

    Parameters
    ----------
    path
        The drawing, whose ending says what it is.
    content
        What stands in it.

    Raises
    ------
    FileError
        If it is broken, has too many points, or holds no closed line.
    """
    kind = path.suffix.lower()
    if kind not in FLAT:
        kinds = f"{' or '.join(FLAT)}, or a photograph (JPEG, PNG, TIFF, WebP)"
        msg = f"{path}: an outline is read from {kinds}; given {kind or 'a name without ending'}"
        raise FileError(msg)
    if not content.strip():
        msg = f"{path}: the file is empty; a drawing of an outline is needed"
        raise FileError(msg)
    drawing = read_shapes(path, content, stray=FLATTENED)
    lines: list[_Line] = [list(map(tuple, line.tolist())) for shape in drawing.shapes for line in shape.lines]
    count = sum(map(len, lines))
    if count > MOST_POINTS:
        msg = f"{path}: {count} points are too many; at most {MOST_POINTS} are taken: simplify the line"
        raise FileError(msg)
    if not lines:
        holds = "nothing but text" if drawing.has_text else "no line"
        msg = f"{path}: there is {holds} in it; one closed outline is needed"
        raise FileError(msg)
    return _closed(path, lines)


def the_outline(shapes: Sequence[Array], path: Path) -> tuple[Array, tuple[Sentence, ...]]:
    """Return the one outline among closed lines, and notes; holes inside it are left out.

    Raises
    ------
    FileError
        If there are several, or it crosses itself.
    """
    areas = [shapely.Polygon(shape) for shape in shapes]
    for area in areas:
        if not area.is_valid:
            msg = f"{path}: the outline crosses or touches itself ({explain_validity(area)}); draw it as one plain line"
            raise FileError(msg)
    number = max(range(len(areas)), key=lambda place: areas[place].area)
    others = [area for place, area in enumerate(areas) if place != number]
    outside = sum(not areas[number].contains(area) for area in others)
    if outside:
        msg = f"{path}: there are {outside + 1} outlines in it; draw the blade, with its tang, as one"
        raise FileError(msg)
    notes = (say("Lines inside the outline, {} of them, are left out: holes.", len(others)),) if others else ()
    return np.asarray(shapes[number], dtype=float), notes


def _closed(path: Path, lines: list[_Line]) -> list[Array]:
    """Return the closed lines, put together from pieces where need be."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

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
