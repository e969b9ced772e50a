"""The lines between the powders, smoothed, and the pieces of the can that they hold apart.

Lengths are millimetres of the can as the dividers see it, from its middle: rightwards and upwards as the pattern
picture lies.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon

from preview.base.arrays import Array
from preview.pattern.raster import Raster

GRID = 1e-6
"""Places (mm) nearer than this are one: lines that end on one another meet there."""

HAIR = 0.05
"""Pieces nowhere wider than this (mm) are the same wall drawn twice, no piece of the pattern."""


PASSED = 0.16
"""Gap (mm) between two walls from which on powder is taken to pass: somewhat more than that of an insert's slit."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """What the lines hold apart.

    Parameters
    ----------
    polygons
        The pieces; together they cover the can.
    powders
        Which class of the raster each holds.
    walls
        Between which two pieces each wall stands, and the wall.
    """

    polygons: tuple[Polygon, ...]
    powders: tuple[int, ...]
    walls: dict[tuple[int, int], Any]


def wall_lines(raster: Raster, inside: Polygon, tolerance: float) -> list[LineString]:
    """Return the lines between the powders, smoothed within ``tolerance`` (mm) and clipped to the can."""
    from skimage.measure import find_contours

    shares = raster.shares
    rows, columns = shares.shape[1:]
    wide, high = raster.cell
    drawn = []
    for index in range(1 if len(shares) == 2 else 0, len(shares)):
        lead = shares[index] - np.delete(shares, index, axis=0).max(axis=0)
        for contour in find_contours(np.asarray(lead, dtype=float), 0.0):
            right = (contour[:, 1] - (columns - 1) / 2) * wide
            up = ((rows - 1) / 2 - contour[:, 0]) * high
            line = _smoothed(np.stack([right, up], axis=1), tolerance)
            if line is not None:
                drawn.append(line)
    if len(shares) > 2:
        drawn = list(_once(drawn, tolerance))
    clipped = [piece for line in drawn for piece in lines_of(line.intersection(inside))]
    return [piece for piece in clipped if piece.length > tolerance]


def lines_of(shape: Any) -> list[LineString]:
    """Return the lines among a shape's parts."""
    return [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, LineString) and part.length > 0]


def polygons_of(shape: Any) -> list[Polygon]:
    """Return the polygons among a shape's parts."""
    return [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon) and not part.is_empty]


def _once(drawn: list[LineString], tolerance: float) -> Iterable[LineString]:
    """Yield lines without what earlier ones drew: two powders that meet were both traced.

    What is left of a line is carried on to the earlier line that it runs out at, so that no powder leaks there.
    """
    done: list[LineString] = []
    cover: Any = Polygon()
    for line in drawn:
        for piece in lines_of(shapely.line_merge(line.difference(cover))):
            if piece.length <= 2 * tolerance:
                continue
            places = list(piece.coords)
            if done and not piece.is_ring:
                earlier = shapely.MultiLineString(done)
                ends = [shapely.shortest_line(shapely.Point(places[end]), earlier) for end in (0, -1)]
                near = [end.length < 1.5 * tolerance for end in ends]
                places = (
                    [ends[0].coords[1]] * near[0] + places + [ends[1].coords[1]] * near[1]
                )  # fmt: skip
            yield LineString(places)
        done.append(line)
        cover = cover.union(line.buffer(tolerance))


def _smoothed(points: Array, tolerance: float) -> LineString | None:
    """Return a contour (n, 2), mm, smoothed by no more than ``tolerance``; None where it comes to nothing."""
    from scipy.ndimage import gaussian_filter1d

    steps = np.hypot(*np.diff(points, axis=0).T)
    length = float(steps.sum())
    if length < 2 * tolerance:
        return None
    closed = bool(np.allclose(points[0], points[-1]))
    count = max(8, round(length / (tolerance / 4)))
    places = np.concatenate([[0.0], np.cumsum(steps)])
    even = np.linspace(0, length, count + 1)[: count if closed else None]
    dense = np.stack([np.interp(even, places, points[:, axis]) for axis in range(2)], axis=1)
    soft = gaussian_filter1d(dense, 4.0, axis=0, mode="wrap" if closed else "nearest")
    moved = soft - dense
    far = np.hypot(*moved.T)[:, None]
    smooth = dense + moved * np.minimum(1, tolerance / 2 / np.maximum(far, 1e-12))
    if closed:
        smooth = np.concatenate([smooth, smooth[:1]])
    else:
        smooth[0], smooth[-1] = points[0], points[-1]
    line = LineString(smooth).simplify(tolerance / 4)
    return line if line.length > 0 else None


def pieces_between(lines: list[LineString], raster: Raster, inside: Polygon) -> Pieces:
    """Return the pieces of the can that lines hold apart, and the powder of each."""
    net = shapely.union_all([*lines, inside.boundary], grid_size=GRID)
    faces = polygons_of(shapely.polygonize([net]))
    joined = _walls(faces)
    # a hair between two tracings goes to the neighbour that it shares most with
    owner = list(range(len(faces)))
    for number, face in enumerate(faces):
        if face.buffer(-HAIR / 2).is_empty:
            beside = {pair: wall for pair, wall in joined.items() if number in pair}
            if beside:
                pair = max(beside, key=lambda each: beside[each].length)
                owner[number] = pair[0] if pair[1] == number else pair[1]
    whole = [number for number in range(len(faces)) if owner[number] == number]
    polygons = [
        shapely.union_all([faces[number], *(faces[k] for k, to in enumerate(owner) if to == number and k != number)])
        for number in whole
    ]
    polygons = [polygon for shape in polygons for polygon in polygons_of(shape)]
    powders = tuple(_powder(polygon, raster) for polygon in polygons)
    return Pieces(tuple(polygons), powders, _walls(polygons))


def _powder(polygon: Polygon, raster: Raster) -> int:
    """Return the class of the raster that stands where a piece is widest."""
    right, up = shapely.maximum_inscribed_circle(polygon, tolerance=0.05).coords[0]
    rows, columns = raster.shares.shape[1:]
    row = min(max(round((rows - 1) / 2 - up / raster.cell[1]), 0), rows - 1)
    column = min(max(round((columns - 1) / 2 + right / raster.cell[0]), 0), columns - 1)
    return int(raster.shares[:, row, column].argmax())


def _walls(faces: list[Polygon]) -> dict[tuple[int, int], Any]:
    """Return the wall between each two faces that share one."""
    first: dict[tuple[tuple[int, int], ...], int] = {}
    shared: dict[tuple[int, int], list[Array]] = {}
    for number, face in enumerate(faces):
        for ring in (face.exterior, *face.interiors):
            points = shapely.get_coordinates(ring)
            keys = [tuple(each) for each in np.rint(points / GRID).astype(np.int64).tolist()]
            for k in range(len(keys) - 1):
                edge = tuple(sorted((keys[k], keys[k + 1])))
                other = first.setdefault(edge, number)
                if other != number:
                    shared.setdefault((other, number), []).append(points[k : k + 2])
    return {pair: shapely.line_merge(shapely.multilinestrings(parts)) for pair, parts in shared.items()}
