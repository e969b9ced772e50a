"""How far the pattern may lie from where it is shown: bands at heel, middle and tip, and an ellipse round each part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.results import Degrees, Mm
from preview.face.face_map import FaceMap
from preview.forge.uncertain import Moves
from preview.job.job import Job

STATIONS = {"heel": 0.06, "middle": 0.5, "tip": 0.94}
"""Where along the blade the bands are told, as shares of its length, from the heel."""

INSIDE = 0.8
"""Share of the draws that a band or an ellipse holds."""

ELLIPSE = float(np.sqrt(-2 * np.log(1 - INSIDE)))
"""Half axes of an ellipse that holds them, in standard deviations: of a normal law in two directions at once."""

MOST_PARTS = 9
LEAST_PART = 4.0
"""Smallest part of the motif, mm2, that is given an ellipse; of more than `MOST_PARTS` the largest are."""

WELL_INSIDE = 0.7
"""How far from the rim of its part, as a share of the farthest that there is, a point has to lie to stand for it."""

NEAR = 0.15
"""How far along the blade from a place, as a share of the length, a part of the motif may lie to stand for it."""

COARSE = 3
"""Pixels between those that parts are found on."""

DEGENERATE = 1e-3
"""Least over most change of the pattern per millimetre under which it is taken not to change that way at all."""


@dataclass(frozen=True)
class Band:
    """Where 80 per cent of the draws put a point of the pattern, mm on the right face from where it is shown.

    Parameters
    ----------
    place
        ``heel``, ``middle`` or ``tip``: half way up the bevel at `STATIONS`.
    along, across
        10th and 90th percentile, towards the tip and towards the spine.
    """

    place: str
    along: tuple[Mm, Mm]
    across: tuple[Mm, Mm]

    @property
    def reach(self) -> tuple[float, float]:
        """The farthest of either way, mm: along and across."""
        return max(map(abs, self.along)), max(map(abs, self.across))


@dataclass(frozen=True)
class Ellipse:
    """Holds a point of the pattern in 80 per cent of the draws.

    Parameters
    ----------
    along, across
        Where the point is shown, mm, blade frame: the middle of the ellipse.
    half_long, half_short
        Its half axes, mm.
    turn
        How far the long one is turned from the heel-to-tip line towards the spine, degrees.
    """

    along: Mm
    across: Mm
    half_long: Mm
    half_short: Mm
    turn: Degrees

    def holds(self, places: Array) -> Mask:
        """Say which places (n, 2), mm, blade frame, lie in it."""
        turn = np.radians(self.turn)
        ahead, aside = (places - (self.along, self.across)).T
        long, short = ahead * np.cos(turn) + aside * np.sin(turn), aside * np.cos(turn) - ahead * np.sin(turn)
        return np.asarray(np.hypot(long / max(self.half_long, 1e-9), short / max(self.half_short, 1e-9)) <= 1)

    @property
    def reach(self) -> tuple[float, float]:
        """How far it reaches from its middle, mm: along and across."""
        turn = np.radians(self.turn)
        along = np.hypot(self.half_long * np.cos(turn), self.half_short * np.sin(turn))
        across = np.hypot(self.half_long * np.sin(turn), self.half_short * np.cos(turn))
        return float(along), float(across)

    @property
    def outline(self) -> Array:
        """Places on it (n, 2), mm: along and across."""
        round_it, turn = np.linspace(0, 2 * np.pi, 73), np.radians(self.turn)
        long, short = self.half_long * np.cos(round_it), self.half_short * np.sin(round_it)
        return np.stack(
            [
                self.along + long * np.cos(turn) - short * np.sin(turn),
                self.across + long * np.sin(turn) + short * np.cos(turn),
            ],
            axis=1,
        )


def worst_first(bands: Sequence[Band]) -> tuple[Band, ...]:
    """Return bands by how far they reach, the farthest first."""
    return tuple(sorted(bands, key=lambda band: -float(np.hypot(*band.reach))))


def stations(job: Job) -> Array:
    """Return the places on the right face where bands are told (3, 2), mm: along and across."""
    outline = job.blade.outline
    along = np.array(list(STATIONS.values())) * outline.length
    edge, spine = outline.edge(along), outline.spine(along)
    height = job.ground.bevel("right", np.array([outline.length / 2])).height
    return np.stack([along, edge + np.minimum(height, spine - edge) / 2], axis=1)


def shifts(moves: Moves, places: Array, weights: Array) -> Array:
    """Return how far draws move the pattern (draws, n, 2), mm along and across, at places (n, 2) of the right face.

    ``weights`` is (draws, names): of each of the moves' things in each draw.
    """
    moved = moves.at("right", places[:, 0], places[:, 1])
    # millimetres of the blade for a cell of the raster; along the bar a pattern may not change at all
    per_place = moves.per_place("right", places[:, 0], places[:, 1]).astype(float)
    in_mm = np.linalg.pinv(per_place, rcond=DEGENERATE)
    # a place that came from further on now shows a pattern that lies further back
    things = len(moves.names) - moves.wander.count
    each = np.einsum("pij,kjp->kpi", in_mm, moved.effects[:things].astype(float))
    shifted = np.einsum("dk,kpi->dpi", -weights[:, :things], each)
    # waves are high in one place and low in another; what a place does is told by their size, two of them for two ways
    changes = np.einsum("pij,pjk->pik", in_mm, per_place)
    wandered = moves.wander.size * weights[:, things : things + 2]
    return np.asarray(shifted + np.einsum("pij,dj->dpi", changes, wandered))


def bands_of(moved: Array) -> tuple[Band, ...]:
    """Return the bands of shifts (draws, 3, 2), mm, at `stations`."""
    edge = 50 * (1 - INSIDE)
    low, high = np.percentile(moved, [edge, 100 - edge], axis=0)
    return tuple(
        Band(place, (float(low[n, 0]), float(high[n, 0])), (float(low[n, 1]), float(high[n, 1])))
        for n, place in enumerate(STATIONS)
    )


def ellipses_of(places: Array, moved: Array) -> tuple[Ellipse, ...]:
    """Return an ellipse round each of ``places`` (n, 2), mm, which draws move by ``moved`` (draws, n, 2)."""
    found = []
    for (along, across), shift in zip(places.tolist(), np.moveaxis(moved, 1, 0), strict=True):
        (short, long), ways = np.linalg.eigh(np.cov(shift.T))
        turn = np.degrees(np.arctan2(ways[1, 1], ways[0, 1]))
        half_long, half_short = (ELLIPSE * float(np.sqrt(max(each, 0.0))) for each in (long, short))
        found.append(Ellipse(along, across, half_long, half_short, float((turn + 90) % 180 - 90)))
    return tuple(found)


def seen_near(face: FaceMap, bright: tuple[str, ...], places: Array, parts: Array) -> Array:
    """Return for each of ``places`` (n, 2), mm, a bright place of the face near it that can be pointed at.

    That is the nearest of ``parts`` (n, 2), mm, see `motif_parts`; where none is near, the nearest bright place; and
    the place itself where nothing is bright.
    """
    grid = face.grid
    held = (face.share_of(bright) > 0.5) & grid.mask
    if face.off_pattern is not None:
        held &= ~face.off_pattern
    rows, columns = np.nonzero(held[::COARSE, ::COARSE])
    if not rows.size:
        return places
    bare = np.stack([grid.along[0, columns * COARSE], grid.across[rows * COARSE, 0]], axis=1)
    found = []
    for place in places:
        near = parts[np.abs(parts[:, 0] - place[0]) < NEAR * grid.along[0, -1]]
        there = near if len(near) else bare
        found.append(there[np.hypot(*(there - place).T).argmin()])
    return np.array(found)


def apart(ellipses: Sequence[Ellipse]) -> tuple[Ellipse, ...]:
    """Return those that cut none that is kept before them: rings on rings tell nobody anything."""
    kept: list[Ellipse] = []
    for ellipse in ellipses:
        if not any(each.holds(ellipse.outline).any() or ellipse.holds(each.outline).any() for each in kept):
            kept.append(ellipse)
    return tuple(kept)


def motif_parts(face: FaceMap, bright: tuple[str, ...]) -> Array:
    """Return a point (n, 2), mm, well inside each large connected part of the bright powders on a face.

    The largest part comes first. Of the points away from its rim it is the one nearest the part's centroid, which may
    itself lie in a letter's hole.
    """
    from scipy import ndimage

    grid = face.grid
    held = (face.share_of(bright) > 0.5) & grid.mask
    if face.off_pattern is not None:
        held &= ~face.off_pattern
    labels, count = ndimage.label(held[::COARSE, ::COARSE])
    sizes = np.bincount(labels.ravel(), minlength=count + 1)[1:] * (COARSE / grid.px_per_mm) ** 2
    chosen = [part for part in np.argsort(-sizes)[:MOST_PARTS] if sizes[part] >= LEAST_PART]
    points = []
    for part in chosen:
        one = labels == part + 1
        centroid = [float(each.mean()) for each in np.nonzero(one)]
        deep = ndimage.distance_transform_edt(np.pad(one, 1))[1:-1, 1:-1]
        rows, columns = np.nonzero(deep >= WELL_INSIDE * deep.max())
        nearest = np.hypot(rows - centroid[0], columns - centroid[1]).argmin()
        row, column = rows[nearest] * COARSE, columns[nearest] * COARSE
        points.append((float(grid.along[0, column]), float(grid.across[row, 0])))
    return np.array(points).reshape(-1, 2)
