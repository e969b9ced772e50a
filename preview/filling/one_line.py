"""All walls of a pattern as one closed line, so that a printer lays them in one go, round and round, as one piece.

Some pieces of the pattern are joined to one area without holes, whose outline is the line that the bead's middle runs
on. Which pieces: a wall between one that is joined and one that is not stands on the outline and is printed once; so
the pieces are chosen that leave the least wall between two of a kind, which takes two beads. Lengths are mm of the can
as the dividers see it, from its middle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon

from preview.filling.bridges import Bridge, find_bridges, rings_of
from preview.filling.narrows import narrows
from preview.filling.showing import Showing
from preview.filling.walls import Pieces, polygons_of

GAP = 0.14
"""Gap (mm) between two beads of a slit. Slicing programs close gaps under some 0.1 mm; no powder enters it."""

CLOSED = 0.1
"""Gaps (mm) that such programs may close."""

FINE = 1e-3
"""Points nearer than this (mm) are one."""

COARSE = 0.01
"""How far (mm) outlines may stray where rings are only counted: a fourth of what a slit has beyond gaps that close."""

PASSES = 6
"""How often bridges that did not fit are looked for anew."""

FRUITLESS = 2
"""Times one after the other that none is found to fit, after which none is looked for: on the demos and on random
patterns none came later."""


@dataclass(frozen=True, eq=False)
class OneLine:
    """The line, or as few as there can be.

    Parameters
    ----------
    lines
        The area that each closed line goes round, without holes; the bead's middle runs on its outline.
    bridges
        The bridges' middle lines.
    streaks
        The room that the bridges' beads take beyond the walls.
    doubled
        Walls of two beads between pieces of a kind.
    harm
        Area of the ground faces that the bridges come out on, mm2.
    """

    lines: tuple[Polygon, ...]
    bridges: tuple[LineString, ...]
    streaks: Any
    doubled: Any
    harm: float

    @property
    def length(self) -> float:
        """How long the beads' middle is, one turn of all lines, mm."""
        return sum(float(line.exterior.length) for line in self.lines)

    @property
    def bridge_length(self) -> float:
        """How long the bridges are together, mm."""
        return sum(float(line.length) for line in self.bridges)


def one_line(pieces: Pieces, inside: Polygon, inner: Polygon, bead: float, shown: Showing) -> OneLine:
    """Return the walls of a pattern as one closed line, the better of those that may be.

    Parameters
    ----------
    pieces
        The pattern's pieces.
    inside, inner
        The can's inside, and the room that the bead's middle may run in.
    bead
        Width of the bead, mm.
    shown
        How much of each place of the can shows.
    """
    tries = [_joined(pieces, chosen, inside, inner, bead, shown) for chosen in _choices(pieces)]
    return min(tries, key=lambda each: (len(each.lines), each.harm + 0.02 * bead * each.length))


def _choices(pieces: Pieces) -> list[frozenset[int]]:
    """Return which pieces may be joined: each way round of the parting that leaves the least wall to print twice."""
    kinds = sorted(set(pieces.powders))
    everything = frozenset(range(len(pieces.polygons)))
    lengths = {pair: float(wall.length) for pair, wall in pieces.walls.items()}
    best: frozenset[int] = frozenset()
    least = np.inf
    for count in range(1, len(kinds) // 2 + 1):
        for some in combinations(kinds, count):
            chosen = {number for number in everything if pieces.powders[number] in some}
            while True:
                # what moving one piece to the other side would save
                saved = dict.fromkeys(everything, 0.0)
                for (a, b), length in lengths.items():
                    for each in (a, b):
                        saved[each] += length if (a in chosen) == (b in chosen) else -length
                most = max(saved, key=lambda each: saved[each])
                if saved[most] < 1e-6:
                    break
                chosen ^= {most}
            twice = sum(length for (a, b), length in lengths.items() if (a in chosen) == (b in chosen))
            if twice < least - 1e-6:
                best, least = frozenset(chosen), twice
    return [best, everything - best]


def _joined(
    pieces: Pieces, chosen: frozenset[int], inside: Polygon, inner: Polygon, bead: float, shown: Showing
) -> OneLine:
    doubled = {pair: wall for pair, wall in pieces.walls.items() if (pair[0] in chosen) == (pair[1] in chosen)}
    area = _area(pieces, chosen, doubled, inside, inner, bead)
    twice = shapely.union_all(list(doubled.values()))
    bridges: list[Bridge] = []
    tried: list[LineString] = []
    rings = tuple(_rings(area, bead))
    without = 0
    for _ in range(PASSES):
        if rings[0] == 1 or without == FRUITLESS:
            break
        found = find_bridges(area, inner, shown, bead, tried, twice)
        area, rings, fitting = _bridged(area, rings, found, inner, bead)
        without = 0 if fitting else without + 1
        bridges += fitting
        tried += [bridge.line for bridge in found if bridge not in fitting]
    lines = tuple(Polygon(ring) for ring in rings_of(area))
    walls = shapely.union_all(list(pieces.walls.values()))
    streaks = shapely.union_all([beads(line, bead) for line in lines]).difference(walls.buffer(bead / 2 + GAP))
    return OneLine(lines, tuple(each.line for each in bridges), streaks, twice, shown.area(streaks))


def beads(line: Polygon, bead: float) -> Any:
    """Return the room that a line's beads take."""
    return line.buffer(bead / 2).difference(line.buffer(-bead / 2))


def _rings(area: Any, bead: float) -> Iterator[int]:
    """Yield how many rings an area has, where narrow necks break, and where narrow gaps close: the dearest last."""
    yield len(rings_of(area))
    rough = area.simplify(COARSE)
    yield len(rings_of(rough.buffer(-0.4 * bead, quad_segs=4)))
    yield len(rings_of(_sliced(rough, bead)))


def _with_fewer(area: Any, bead: float, rings: tuple[int, ...], count: int) -> tuple[int, ...]:
    """Return an area's rings if there are ``count`` fewer than ``rings`` of the first kind, at least of the others.

    Nothing as soon as one of them is not so.
    """
    found: list[int] = []
    for before, after in zip(rings, _rings(area, bead), strict=True):
        if before - after < count or not (found or before - after == count):
            return ()
        found.append(after)
    return tuple(found)


def _sliced(area: Any, bead: float) -> Any:
    """Return an area as a program that slices its solid sees it: narrow gaps closed."""
    reach = (bead + CLOSED) / 2
    return area.buffer(reach, quad_segs=4).buffer(-reach, quad_segs=4)


def _area(
    pieces: Pieces, chosen: frozenset[int], doubled: dict[tuple[int, int], Any], inside: Polygon, inner: Polygon,
    bead: float,
) -> Any:  # fmt: skip
    """Return the chosen pieces' area where there is room for powder, walls of two beads worked in."""
    reach = (bead + GAP) / 2
    within = [wall for pair, wall in doubled.items() if pair[0] in chosen]
    beyond = [wall for pair, wall in doubled.items() if pair[0] not in chosen]
    whole = shapely.union_all([pieces.polygons[each] for each in chosen])
    # beyond the can's side it goes on, so that what ends there ends square
    side = whole.intersection(inside.boundary)
    whole = whole.union(side.buffer(4 * reach, cap_style="flat").difference(inside))
    apart = shapely.union_all(within).buffer(reach)
    around = inside.buffer(4 * reach)
    whole = whole.difference(apart)
    wide = _opened(whole, 0.49 * bead).union(narrows(whole, inside, 0.49 * bead).buffer(bead / 2))
    rest = around.difference(wide)
    closed = around.difference(_opened(rest, reach).union(narrows(rest, inside, reach).buffer(reach)))
    area = closed.difference(apart).union(shapely.union_all(beyond).buffer(bead / 2)).intersection(inner)
    parts = [part for part in polygons_of(area) if not part.buffer(-bead / 4).is_empty]
    return _tidy(shapely.MultiPolygon(parts))


def _tidy(area: Any) -> Any:
    """Return an area with its points on a fine grid and none that say nothing: buffers of others may go wrong."""
    return shapely.set_precision(area.simplify(FINE), FINE)


def _opened(area: Any, reach: float) -> Any:
    return area.buffer(-reach, quad_segs=8).buffer(reach, quad_segs=8)


def _bridged(
    area: Any, rings: tuple[int, ...], bridges: list[Bridge], inner: Polygon, bead: float
) -> tuple[Any, tuple[int, ...], list[Bridge]]:
    """Return an area with those of ``bridges`` that fit, its rings, and these bridges.

    A bridge fits that makes one ring of two, also once the area is sliced. All are tried at once, and where that fails
    one half after the other.
    """
    if not bridges:
        return area, rings, []
    new = _with_bridges(area, bridges, inner, bead)
    if after := _with_fewer(new, bead, rings, len(bridges)):
        return new, after, bridges
    if len(bridges) == 1:
        return area, rings, []
    half = len(bridges) // 2
    area, rings, first = _bridged(area, rings, bridges[:half], inner, bead)
    area, rings, second = _bridged(area, rings, bridges[half:], inner, bead)
    return area, rings, [*first, *second]


def _with_bridges(area: Any, bridges: list[Bridge], inner: Polygon, bead: float) -> Any:
    necks, slits = [], []
    for bridge in bridges:
        if bridge.beside:
            necks.append(bridge.line.buffer(bead, cap_style="flat", join_style="mitre"))
        elif area.contains(bridge.line.interpolate(0.5, normalized=True)):
            slits.append(bridge.line.buffer((bead + GAP) / 2, cap_style="square"))
        else:
            necks.append(bridge.line.buffer(bead / 2, cap_style="square"))
    joined = area.union(shapely.union_all(necks).intersection(inner))
    return _tidy(joined.difference(shapely.union_all(slits)))
