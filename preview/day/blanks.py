"""Blanks out of one bar: the same outline several times, turned, mirrored and pushed together up to the saw's kerf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.results import Mm, Mm2

ACROSS, STARTS = 5, 12
"""Places across the bar, and along it, from which each blank is pushed towards the heel end."""

KEPT = 4
"""Arrangements of so many blanks that are gone on with, the shortest first."""

GLIDE, TOUCHES, PUSHES = 8.0, 0.01, 100
"""Millimetres by which a blank is pushed at first and, halved each time that something stops it, at last; how often it
is pushed at the most."""

SLACK = 1e-6
"""Millimetres that count as none."""

COARSE = 0.05
"""Millimetres by which an outline is simplified for the search; it keeps so much more distance for that."""


@dataclass(frozen=True)
class Lay:
    """How a blank lies in its bar.

    Parameters
    ----------
    end_for_end, edge_for_spine
        Whether its tip points to the bar's heel end, and its edge to the bar's spine side. One of both alone is a blank
        turned over, its right face where the bar's left one is; both together turn it in the bar's plane.
    along, across
        Of the blade's heel and of its edge's baseline, mm from the bar's heel end and edge side.
    """

    end_for_end: bool
    edge_for_spine: bool
    along: Mm
    across: Mm

    def placed(self, profile: Array) -> Array:
        """Carry points ``(n, 2)`` of the blade's plane (mm) to the bar's, mm from its heel end and edge side."""
        signs = [-1.0 if each else 1.0 for each in (self.end_for_end, self.edge_for_spine)]
        return np.asarray(profile * signs + np.array([self.along, self.across]))


@dataclass(frozen=True)
class Blanks:
    """The blanks of one bar.

    Parameters
    ----------
    length, width
        Of the bar.
    kerf
        What the saw takes between two blanks.
    lays
        How each lies, the work's own first.
    blank_area, sawn_area, left_area
        Of one blank, of all that the saw takes round them, and of what is left of the bar.
    end_piece
        Length of the longest piece that is left whole at an end, after the saw.
    """

    length: Mm
    width: Mm
    kerf: Mm
    lays: tuple[Lay, ...]
    blank_area: Mm2
    sawn_area: Mm2
    left_area: Mm2
    end_piece: Mm


def cut_up(profile: Array, lays: tuple[Lay, ...], room: tuple[float, float], kerf: float) -> Blanks:
    """Return what comes of a bar (``room``: length and width, mm) when the blanks that lie so are cut out of it."""
    bar, blank = shapely.box(0, 0, *room), shapely.Polygon(profile)
    blanks = shapely.union_all([shapely.Polygon(lay.placed(profile)) for lay in lays])
    gone = shapely.intersection(shapely.buffer(blanks, kerf), bar)
    taken = shapely.union_all([gone, shapely.intersection(blanks, bar)])
    low, _, high, _ = gone.bounds if lays else (room[0], 0, 0, 0)
    return Blanks(
        *room, kerf, lays, float(blank.area), float(taken.area - shapely.intersection(blanks, bar).area),
        float(bar.area - taken.area), float(max(low, room[0] - high, 0.0)),
    )  # fmt: skip


def nest(
    profile: Array, room: tuple[float, float], kerf: float, most: int, first: Lay | None = None
) -> tuple[Lay, ...]:
    """Return how up to ``most`` blanks lie in a bar, as many as are found, pushed towards its heel end.

    Each is laid four ways, at some places across the bar, and pushed along it by the exact distance of the polygons
    until the kerf stops it; of each number of blanks the shortest few arrangements are gone on with. So blanks never
    come nearer than the kerf; that more might go in is not ruled out.

    Parameters
    ----------
    profile
        The blank's outline with its tang, ``(n, 2)``, mm, in the blade's plane.
    room
        Length and width of the bar, mm.
    kerf
        Between two blanks, mm.
    most
        How many are wanted at the most.
    first
        One that lies where it lies; the others go round it.
    """
    search = _Search.of(profile, room, kerf)
    found: list[tuple[_Placed, ...]] = [() if first is None else (search.own(first),)]
    while len(found[0]) < most:
        more = [(*placed, each) for placed in found for each in search.places(placed)]
        if not more:
            break
        best = {tuple(sorted(each.corner for each in placed)): placed for placed in sorted(more, key=_reach)[::-1]}
        found = sorted(best.values(), key=_reach)[:KEPT]
    return tuple(search.lay(each) for each in found[0])


@dataclass(frozen=True, eq=False)
class _Placed:
    """A blank that lies: which way (an index), the corner of its box, its reach along, and its polygon."""

    way: int
    corner: tuple[float, float]
    reach: float
    polygon: shapely.Polygon


def _reach(placed: tuple[_Placed, ...]) -> tuple[float, float]:
    """Return how far blanks reach along the bar, and all of them together: the less the better."""
    return round(max(each.reach for each in placed), 3), sum(each.reach for each in placed)


WAYS = tuple(product((False, True), repeat=2))
"""End for end, and edge for spine."""


@dataclass(frozen=True, eq=False)
class _Search:
    """A blank laid the four ways, its box's lower corner at the origin: coarse outlines, and its own origin in each."""

    room: tuple[float, float]
    apart: float
    outlines: tuple[Array, ...]
    origins: tuple[Array, ...]

    @classmethod
    def of(cls, profile: Array, room: tuple[float, float], kerf: float) -> _Search:
        exact = shapely.Polygon(profile)
        coarse = shapely.simplify(exact, COARSE)
        off = float(shapely.hausdorff_distance(exact.exterior, coarse.exterior, densify=0.1))
        signs = [np.array([-1.0 if end else 1.0, -1.0 if edge else 1.0]) for end, edge in WAYS]
        origins = tuple(-(profile * sign).min(axis=0) for sign in signs)
        corners = shapely.get_coordinates(coarse)[:-1]
        return cls(room, kerf + 2 * off, tuple(corners * s + o for s, o in zip(signs, origins, strict=True)), origins)

    def own(self, lay: Lay) -> _Placed:
        """Return a blank that lies so."""
        way = WAYS.index((lay.end_for_end, lay.edge_for_spine))
        corner = np.array([lay.along, lay.across]) - self.origins[way]
        return self._placed(way, corner)

    def lay(self, placed: _Placed) -> Lay:
        """Return how a blank lies."""
        along, across = np.array(placed.corner) + self.origins[placed.way]
        end, edge = WAYS[placed.way]
        return Lay(end, edge, float(along), float(across))

    def _placed(self, way: int, corner: Array) -> _Placed:
        outline = self.outlines[way] + corner
        return _Placed(
            way, (round(float(corner[0]), 3), float(corner[1])), float(outline[:, 0].max()), shapely.Polygon(outline)
        )

    def places(self, there: tuple[_Placed, ...]) -> Iterator[_Placed]:
        """Yield where one more blank goes, pushed home from many places."""
        taken = shapely.union_all([each.polygon for each in there]) if there else None
        for way, outline in enumerate(self.outlines):
            free = np.array(self.room) - outline.max(axis=0)
            if (free < -1e-9).any():
                continue
            starts = np.stack(
                np.meshgrid(np.linspace(0, max(free[0], 0), STARTS), np.linspace(0, max(free[1], 0), ACROSS)), -1
            )
            corners = np.unique(starts.reshape(-1, 2), axis=0)
            for corner in self._pushed(outline, corners, taken):
                yield self._placed(way, corner)

    def _pushed(self, outline: Array, corners: Array, taken: shapely.Geometry | None) -> Array:
        """Return the corners of those blanks that lie free, each pushed towards the heel end until it is stopped."""
        if taken is None:
            return np.unique(corners * [0, 1], axis=0)
        clear = self._clearance(outline, corners, taken)
        corners, clear = corners[clear >= -SLACK], clear[clear >= -SLACK]
        glide = np.full(len(corners), GLIDE)
        for _ in range(PUSHES):
            (moving,) = np.nonzero((glide > TOUCHES) & (corners[:, 0] > 0))
            if not moving.size:
                break
            # as far as it is clear all round it can go no wrong; along what it touches it glides while that is free
            farther = corners[moving].copy()
            farther[:, 0] = np.maximum(farther[:, 0] - np.maximum(clear[moving], glide[moving]), 0)
            found = self._clearance(outline, farther, taken)
            free = found >= -SLACK
            corners[moving[free]], clear[moving[free]] = farther[free], found[free]
            glide[moving[~free]] /= 2
        return np.unique(np.round(corners, 6), axis=0)

    def _clearance(self, outline: Array, corners: Array, taken: shapely.Geometry) -> Array:
        """Return by how much (mm) blanks are farther than the kerf from what lies there."""
        polygons = shapely.polygons(outline[None] + corners[:, None])
        return np.asarray(shapely.distance(polygons, taken)) - self.apart
