"""The narrow things of a blade's picture: its eased corners, and the strip that sharpening leaves along the edge.

Both are narrower than their slopes could be had by differences, so they are told in closed form, for the few pixels
they cover.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.base.cache import Same, kept
from preview.blade.ground import Ground
from preview.blade.sharpening import strip_of
from preview.face.face_map import FaceMap
from preview.face.view import View

EASED = 0.35
"""How wide the spine's and the heel's corners are eased, mm (our own choice)."""

STEEPEST = 0.36
"""Slope of an eased corner at its rim: there the spine mirrors what is brightest above (chosen by eye)."""

RUN_IN = 4.0
"""Over how much of the edge (mm) its sharpened strip comes in behind the plunge (our own choice)."""

CONTACT, CONTACT_DEEP, CONTACT_BELOW = 1.6, 0.6, 0.6
"""How far a collar's shadow reaches over the heel, how deep it is there, and how far below the collar it falls, mm
(chosen by eye)."""

SHADOW, SHADOW_DEEP = 0.14, 0.4
"""How wide the shadow over a sharpened edge is, mm, and how deep right at it (chosen by eye)."""

LEAST_SHADE = 0.02
"""Share of the light from which a shadow is told."""

Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Leaning:
    """Pixels (flat index, ascending) that lean otherwise than their face: how much more they rise along and across."""

    at: Indices
    along: Float32
    across: Float32

    @classmethod
    def none(cls) -> Leaning:
        """Return no pixels."""
        nothing = np.zeros(0, dtype=np.float32)
        return cls(np.zeros(0, dtype=np.intp), nothing, nothing)


@dataclass(frozen=True, eq=False)
class Strip:
    """Pixels (flat index, ascending) of a sharpened edge and right over it.

    Parameters
    ----------
    share
        Share of each that the edge covers.
    along, across
        Its slopes there.
    shade
        How much of the light the steel beside it lacks: a burr stands at its border.
    """

    at: Indices
    share: Float32
    along: Float32
    across: Float32
    shade: Float32


@kept
def eased_corners(view: View, plunge: tuple[float, float]) -> Leaning:
    """Return the eased corners of a face: spine, heel where no tang follows, edge where it is not ground.

    ``plunge`` is where (mm from the heel) the edge begins to be ground, and where it is ground to the full.
    """
    grid, outline = view.grid, view.outline
    along = np.clip(grid.along[0], 0, outline.length)
    edge, spine = outline.rims(along)
    rises = np.gradient(spine, along), np.gradient(edge, along)
    left = np.clip((plunge[1] - along) / max(plunge[1] - plunge[0], 1e-6), 0, 1)
    parts = []
    for line, rise, sign, share in ((spine, rises[0], 1.0, np.ones_like(left)), (edge, rises[1], -1.0, left)):
        # square to the rim, as far as a straight rim goes
        length = np.hypot(1, rise)
        rows, columns = np.nonzero((sign * (line - grid.across) < EASED * length) & (share > 0) & (grid.shown > 0))
        off = sign * (line[columns] - grid.across[rows, 0]) / length[columns]
        fall = STEEPEST * share[columns] * np.clip(1 - off / EASED, 0, 1) / length[columns]
        parts.append((rows, columns, sign * fall * rise[columns], -sign * fall))
    if not outline.tang_length:
        fall = STEEPEST * np.clip(1 - along / EASED, 0, 1)
        rows, columns = np.nonzero((fall > 0) & (grid.shown > 0))
        parts.append((rows, columns, fall[columns], 0 * fall[columns]))
    rows, columns, *each = (np.concatenate(part) for part in zip(*parts, strict=True))
    at, place = np.unique(rows * grid.shape[1] + columns, return_inverse=True)
    falls = [np.bincount(place, fall, at.size).astype(np.float32) for fall in each]
    return Leaning(at, *falls)


def shadow_on(view: View, strip: Strip) -> tuple[Indices, Float32]:
    """Return pixels (flat index, ascending) in a shadow, over a sharpened edge or before a collar, and how deep it is.

    Both lie too far apart to meet.
    """
    before, deep = _collar_shadow(view)
    over = np.flatnonzero(strip.shade > LEAST_SHADE)
    at = np.concatenate([before, strip.at[over]])
    order = np.argsort(at, kind="stable")  # two ascending runs, which it merges
    return at[order], np.concatenate([deep, strip.shade[over]])[order]


@kept
def _collar_shadow(view: View) -> tuple[Indices, Float32]:
    """Return pixels (flat index) that a handle's collar shades, and how much of the light they lack."""
    grip, grid = view.behind.grip, view.grid
    if not grip.size:
        return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.float32)
    _, low, high = grip[-1]
    columns = int(np.searchsorted(grid.along[0], 2.5 * CONTACT))
    across = grid.across + CONTACT_BELOW  # the light comes from above
    beside = np.maximum(np.maximum(low - across, across - high), 0)
    off = np.hypot(grid.along[:, :columns], beside)
    deep = CONTACT_DEEP * np.exp(-((off / CONTACT) ** 2)) * (grid.shown[:, :columns] > 0)
    rows, aside = np.nonzero(deep > LEAST_SHADE)
    return rows * grid.shape[1] + aside, deep[rows, aside].astype(np.float32)


@kept
def near_edge(view: View, reach: float) -> tuple[Indices, Indices, Float32]:
    """Return rows and columns of the blade's pixels within ``reach`` (mm) of its edge, and how near it they are."""
    rows, columns = np.nonzero((view.grid.distance < reach) & (view.grid.shown > 0))
    return rows, columns, view.grid.distance[rows, columns]


def sharpened(face: FaceMap, ground: Ground) -> Strip:
    """Return the strip of bare steel that sharpening leaves on a face, its width true whatever the bevel's form.

    It is reckoned once for faces that mirror each other.
    """
    return _sharpened(Same(face.stand), replace(face.view, side=ground.alike(face.side)), ground)


@kept
def _sharpened(face: Same[Float32], view: View, ground: Ground) -> Strip:
    grid = view.grid
    along = grid.along[0]
    back = view.wear.at(along) if view.wear else np.zeros_like(along)
    strip = strip_of(ground, view.side, along, back)
    width = strip.width
    if not np.isfinite(width).any():
        none = np.zeros(0, dtype=np.float32)
        return Strip(np.zeros(0, dtype=np.intp), none, none, none, none)
    rise = float(np.tan(np.radians(ground.grind.edge_angle)))
    reach = 1.5 * np.nan_to_num(width) + 2 / grid.px_per_mm + 2 * SHADOW
    rows, columns, distance = near_edge(view, 2.0 ** float(np.ceil(np.log2((reach + back).max()))))
    close = distance < np.where(np.isfinite(width), reach + back, 0)[columns]
    rows, columns = rows[close], columns[close]
    distance = distance[close] - back[columns]
    begins = along[np.isfinite(width)][0]
    proud = face.value[rows, columns] - strip.middle[columns] - rise * distance
    # the stones come in from the plunge bit by bit
    proud -= (strip.off * np.exp(-np.maximum(along - begins, 0) / RUN_IN))[columns] * (begins > 1 / grid.px_per_mm)
    steps = proud * (grid.px_per_mm * width / strip.off)[columns] + 0.5
    share = np.clip(steps, 0, 1).astype(np.float32)
    over = np.maximum(0.5 - steps, 0) / grid.px_per_mm  # mm from the strip's upper border
    shade = (SHADOW_DEEP * np.exp(-((over / SHADOW) ** 2))).astype(np.float32)
    keep = (share > 0) | (shade > LEAST_SHADE)
    rows, columns = rows[keep], columns[keep]
    up, right = (_slope(grid.distance, rows, columns, axis) * grid.px_per_mm for axis in (0, 1))
    leans = (rise * right).astype(np.float32), (-rise * up).astype(np.float32)
    return Strip(rows * grid.shape[1] + columns, share[keep], *leans, shade[keep])


def _slope(values: Array, rows: Indices, columns: Indices, axis: int) -> Array:
    """Return the difference to the next pixel along an axis, at a few pixels."""
    last = values.shape[axis] - 1
    place = (rows, columns)[axis]
    before, after = np.clip(place - 1, 0, last), np.clip(place + 1, 0, last)
    low, high = ((before, columns), (after, columns)) if axis == 0 else ((rows, before), (rows, after))
    return np.asarray((values[high] - values[low]) / (after - before))
