"""Which bridges join closed lines to one, and where they run: the least harm to what shows on the ground faces.

A closed line is a ring of an area's outline. A bridge between two rings runs through the area itself, as a slit, or
outside it, as a neck; either makes one ring of two and parts no room in two. The bridges are the tree of least cost
over the rings. Rings that reach the can's side need a second look: the room between two of them ends at the can's side,
and a bridge across it would part it, so such rings are joined along the side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.ops import substring

from preview.base.arrays import Array
from preview.filling.showing import Showing
from preview.filling.walls import lines_of

UNSEEN = 0.15
"""What a place costs where nothing of it shows, beside a face area of 1: a bridge is plastic and void all the same."""

BESIDE = 8.0
"""How many times a place costs beside the can's side, which a bridge would part from its room."""

SLIT = 1.5
"""How many times a slit costs: a gap stays open between its beads."""

DOUBLED = 0.05
"""How many times a place costs on a wall that takes two beads anyway."""

TRIED = 30.0
"""How many times a place costs where a bridge was tried and did not fit."""

TOUCH = 1e-6


@dataclass(frozen=True, eq=False)
class Bridge:
    """A bridge's middle line, mm, and whether it runs along the can's side."""

    line: LineString
    beside: bool = False


@dataclass(frozen=True, eq=False)
class _Ground:
    """The can's floor in cells of half a bead, as a graph."""

    first: Array
    second: Array
    cost: Array
    shape: tuple[int, int]
    corner: tuple[float, float]
    pitch: float

    def cells(self, line: Any) -> Array:
        points = shapely.get_coordinates(shapely.segmentize(line, self.pitch / 2))
        column, row = ((points - self.corner) / self.pitch).astype(int).T
        rows, columns = self.shape
        return np.unique(np.clip(row, 0, rows - 1) * columns + np.clip(column, 0, columns - 1))

    def place(self, cell: Array) -> Array:
        row, column = np.divmod(cell, self.shape[1])
        return np.asarray(np.stack([column + 0.5, row + 0.5], axis=1) * self.pitch + self.corner)


def rings_of(area: Any) -> list[Any]:
    """Return the rings of an area's outline."""
    polygons = getattr(area, "geoms", [area])
    return [ring for each in polygons if not each.is_empty for ring in (each.exterior, *each.interiors)]


def find_bridges(
    area: Any, inner: Polygon, shown: Showing, width: float, tried: list[LineString], doubled: Any
) -> list[Bridge]:
    """Return bridges that make one ring of the outline of ``area``, least costly first.

    Parameters
    ----------
    area
        What the lines go round, inside ``inner``, the room that the line's middle may run in.
    shown
        How much of each place of the can shows.
    width
        Width of a bridge, mm.
    tried
        Bridges that did not fit.
    doubled
        Walls that are printed twice: a bridge across one does no more harm.
    """
    shapely.prepare(area)
    rings = rings_of(area)
    side = inner.exterior
    contacts = [lines_of(shapely.line_merge(ring.intersection(side))) for ring in rings]
    return [*_inner(area, rings, contacts, inner, shown, width, tried, doubled), *_beside(contacts, side, shown, width)]


def _tree(count: int, pairs: Array, cost: Array) -> Array:
    """Return which of ``pairs`` (n, 2) of ``count`` nodes make the tree of least cost."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import minimum_spanning_tree

    if not len(pairs):
        return np.zeros(0, dtype=int)
    # the number of a pair is its rank by cost, from 1: the tree is the same, and tells which pairs are in it
    order = np.argsort(cost, kind="stable")
    ends = np.sort(pairs[order], axis=1)
    _, kept = np.unique(ends, axis=0, return_index=True)  # the cheapest of those between the same two
    graph = coo_array((kept + 1.0, (ends[kept, 0], ends[kept, 1])), shape=(count, count)).tocsr()
    return np.asarray(order[np.sort(minimum_spanning_tree(graph).data.astype(int) - 1)])


def _inner(
    area: Any, rings: list[Any], contacts: list[list[LineString]], inner: Polygon, shown: Showing, width: float,
    tried: list[LineString], doubled: Any,
) -> list[Bridge]:  # fmt: skip
    """Return bridges that join all rings but those at the can's side, to one another or to one of these."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    ground = _ground(area, inner, shown, width / 2, width, tried, doubled)
    size = ground.shape[0] * ground.shape[1]
    owner = np.full(size, -1)
    for number, ring in enumerate(rings):
        owner[ground.cells(ring)] = number
    ends, cost = (ground.first, ground.second), ground.cost
    graph = coo_array((cost, ends), shape=(size, size)).tocsr()
    far, back, source = dijkstra(
        graph, directed=False, indices=np.flatnonzero(owner >= 0), min_only=True, return_predecessors=True
    )
    nearest = np.where(source >= 0, owner[source], -1)
    one, other = nearest[ends[0]], nearest[ends[1]]
    meet = np.flatnonzero((one != other) & (one >= 0) & (other >= 0))
    at_side = np.array([bool(each) for each in contacts])
    # rings at the can's side count as one here
    group = np.where(at_side, len(rings), np.arange(len(rings)))
    pairs = np.stack([group[one[meet]], group[other[meet]]], axis=1)
    total = far[ends[0][meet]] + far[ends[1][meet]] + cost[meet]
    apart = pairs[:, 0] != pairs[:, 1]
    meet, pairs, total = meet[apart], pairs[apart], total[apart]

    def way(cell: int) -> list[int]:
        cells = [cell]
        while back[cells[-1]] >= 0:
            cells.append(int(back[cells[-1]]))
        return cells

    found = []
    for each in _tree(len(rings) + 1, pairs, total):
        a, b = int(ends[0][meet[each]]), int(ends[1][meet[each]])
        cells = [*reversed(way(a)), *way(b)]
        found.append(Bridge(_drawn(ground.place(np.array(cells)), rings[owner[cells[0]]], rings[owner[cells[-1]]])))
    return found


def _drawn(places: Array, one: Any, other: Any) -> LineString:
    """Return a way over cells as a line from ring to ring, straight where it nearly is."""
    inner = places[1:-1] if len(places) > 3 else places.mean(axis=0)[None]
    start = shapely.shortest_line(one, shapely.Point(inner[0])).coords[0]
    end = shapely.shortest_line(other, shapely.Point(inner[-1])).coords[0]
    return LineString([start, *inner, end]).simplify(0.75 * float(np.hypot(*(places[1] - places[0]))))


def _ground(
    area: Any, inner: Polygon, shown: Showing, pitch: float, width: float, tried: list[LineString], doubled: Any
) -> _Ground:  # fmt: skip
    from scipy.ndimage import uniform_filter

    left, low, right, top = inner.bounds
    columns, rows = (max(2, round(side / pitch)) for side in (right - left, top - low))
    number = np.arange(rows * columns).reshape(rows, columns)
    x, y = left + (np.arange(columns) + 0.5) * pitch, low + (np.arange(rows) + 0.5) * pitch
    x, y = np.meshgrid(x, y)
    # a bridge is two beads wide, and harms what lies under all of it
    price = (uniform_filter(shown.at(x, y), 1 + round(2 * width / pitch)) + UNSEEN) * 2 * width
    beside = np.minimum(np.minimum(x - left, right - x), np.minimum(y - low, top - y)) < 2 * width
    price[beside] *= BESIDE
    price[shapely.contains_xy(area, x, y)] *= SLIT
    for shape, times in ((doubled.buffer(width), DOUBLED), (shapely.union_all(tried).buffer(width / 2), TRIED)):
        shapely.prepare(shape)
        price[shapely.contains_xy(shape, x, y)] *= times
    steps = []
    for down, over in ((0, 1), (1, 0), (1, 1), (1, -1)):
        a = number[: rows - down, max(0, -over) : columns - max(0, over)].ravel()
        b = number[down:, max(0, over) : columns - max(0, -over)].ravel()
        mean = (price.ravel()[a] + price.ravel()[b]) / 2
        steps.append((a, b, mean * pitch * np.hypot(down, over)))
    first, second, cost = (np.concatenate(each) for each in zip(*steps, strict=True))
    return _Ground(first, second, cost, (rows, columns), (left, low), pitch)


def _beside(contacts: list[list[LineString]], side: Any, shown: Showing, width: float) -> list[Bridge]:
    """Return bridges along the can's side that join the rings there."""
    whole = side.length
    spans = []
    for number, lines in enumerate(contacts):
        for line in lines:
            middle = side.project(line.interpolate(0.5, normalized=True))
            spans.append(((middle - line.length / 2) % whole, line.length, number))
    spans.sort()
    bridges, pairs, costs = [], [], []
    for k, (start, length, number) in enumerate(spans):
        after, beyond, following = spans[(k + 1) % len(spans)]
        if number == following:
            continue
        gap = (after - start - length) % whole
        # over the rings' own stretches some way, so that it holds where they meet the side askew
        back, on = (min(2 * width, each) for each in (length, beyond))
        line = _stretch(side, start + length - back, back + gap + on)
        places = shapely.get_coordinates(line.segmentize(width / 2)).T
        bridges.append(Bridge(line, beside=True))
        pairs.append((number, following))
        costs.append(float((shown.at(*places) + UNSEEN).mean()) * line.length * 2 * width)
    return [bridges[each] for each in _tree(len(contacts), np.array(pairs).reshape(-1, 2), np.array(costs))]


def _stretch(side: Any, start: float, length: float) -> LineString:
    """Return a stretch of a closed line, over its start where need be."""
    whole = side.length
    start %= whole
    if start + length <= whole:
        return substring(side, start, start + length)
    parts = (substring(side, start, whole), substring(side, 0, start + length - whole))
    return LineString([*parts[0].coords, *parts[1].coords[1:]])
