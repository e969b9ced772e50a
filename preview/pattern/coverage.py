"""How much of each cell of a raster areas cover: exactly, by the areas' own outlines."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from preview.base.arrays import Array, Float32


def covered(area: Any, shape: tuple[int, int], cell: tuple[float, float], corner: tuple[float, float]) -> Float32:
    """Return the share of each cell that ``area`` covers.

    Parameters
    ----------
    area
        A shapely area, mm, rightwards and upwards.
    shape
        Rows and columns of the raster, row 0 on top.
    cell
        Width and height of a cell, mm.
    corner
        The raster's upper left corner, mm.
    """
    rows, columns = shape
    starts, ends = _edges(area)
    if not len(starts):
        return np.zeros(shape, dtype=np.float32)
    scale, origin = np.array([1 / cell[0], -1 / cell[1]]), np.array(corner)
    x0, y0, x1, y1 = _split((starts - origin) * scale, (ends - origin) * scale)
    row = np.floor((y0 + y1) / 2).astype(int)
    inside = (row >= 0) & (row < rows) & (y0 != y1)
    row, fall = row[inside], (y1 - y0)[inside]
    across = np.clip((x0 + x1)[inside] / 2, 0, columns)
    column = np.minimum(np.floor(across).astype(int), columns - 1)
    beside = across - column
    # an edge that falls by some of a row covers as much of all cells to its right, and of its own what lies right of it
    total = np.bincount(
        np.concatenate([row * (columns + 1) + column, row * (columns + 1) + column + 1]),
        weights=np.concatenate([fall * (1 - beside), fall * beside]),
        minlength=rows * (columns + 1),
    ).reshape(rows, columns + 1)
    return np.asarray(np.clip(np.cumsum(total, axis=1)[:, :columns], 0, 1), dtype=np.float32)


def _edges(area: Any) -> tuple[Array, Array]:
    """Return the starts and ends (n, 2) of an area's edges, the area to one side of them all."""
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon | MultiPolygon) and not part.is_empty]
    parts = [shapely.orient_polygons(part) for part in parts]
    rings = [shapely.get_coordinates(ring) for part in parts for ring in shapely.get_rings(part)]
    starts = [ring[:-1] for ring in rings]
    ends = [ring[1:] for ring in rings]
    return np.concatenate([np.zeros((0, 2)), *starts]), np.concatenate([np.zeros((0, 2)), *ends])


def _split(starts: Array, ends: Array) -> tuple[Array, Array, Array, Array]:
    """Return the pieces (x0, y0, x1, y1) of edges, cut wherever they cross from one cell into the next."""
    edge, place = [np.arange(len(starts))], [np.zeros(len(starts))]
    for axis in (0, 1):
        one, other = starts[:, axis], ends[:, axis]
        first, last = np.ceil(np.minimum(one, other)), np.floor(np.maximum(one, other))
        count = np.where(one == other, 0, np.maximum(last - first + 1, 0)).astype(int)
        of = np.repeat(np.arange(len(starts)), count)
        number = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
        edge.append(of)
        place.append((first[of] + number - one[of]) / (other[of] - one[of]))
    whole, at = np.concatenate(edge), np.clip(np.concatenate(place), 0, 1)
    order = np.lexsort((at, whole))
    whole, at = whole[order], at[order]
    last_of_its = np.append(whole[1:] != whole[:-1], True)
    after = np.where(last_of_its, 1.0, np.append(at[1:], 1.0))
    way = ends - starts
    low, high = starts[whole] + at[:, None] * way[whole], starts[whole] + after[:, None] * way[whole]
    return low[:, 0], low[:, 1], high[:, 0], high[:, 1]
