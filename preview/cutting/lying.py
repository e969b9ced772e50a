"""Where on a ground face the grains of the pattern show: the face's own pull-back, solved by Newton's method."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array, Mask
from preview.blade.grind import Side
from preview.face.origins import Origins

REACH = 0.1
"""How far apart (mm) places are from which it is read how the pattern changes."""
SWEEPS, LONGEST = 8, 6.0
"""Steps towards where a grain comes out, and the longest of them, mm."""
HARDLY = 0.05
"""Least over most change of the pattern per millimetre under which it is taken not to change that way: no grain of a
line that runs on can be told from the next."""
FOUND = 0.05
"""How near to it (mm) a grain has to come for its place to count as found."""


def lying(origins: Origins, side: Side, cells: Array, start: Array) -> tuple[Array, Mask]:
    """Return where on a face grains show whose pattern is at ``cells`` (2, n), and which of them were found.

    Newton's method from ``start``; both (2, n), mm, blade frame. The face goes on beyond its rim as it is there. Along
    a bar whose pattern does not change that way, a grain keeps its place.
    """
    places = start.astype(float)
    for _ in range(SWEEPS):
        step = step_towards(origins, side, cells, places)
        far = np.hypot(*step)
        if far.max(initial=0.0) < FOUND / 10:
            break
        places = places + step * np.minimum(1, LONGEST / np.maximum(far, 1e-9))
    return places, far < FOUND


def step_towards(origins: Origins, side: Side, cells: Array, places: Array) -> Array:
    """Return how far, along and across, the grains at ``cells`` lie from ``places``: one step of `lying`.

    All (2, n): columns and rows of the raster; mm, blade frame, the places too.
    """
    in_mm = np.linalg.pinv(per_place(origins, side, places), rcond=HARDLY)
    return np.asarray(np.einsum("pij,jp->ip", in_mm, cells - _cells(origins, side, places)))


def on_face(origins: Origins, along: Array, across: Array) -> tuple[Array, Array, Array]:
    """Return places (mm, blade frame) with their distances to the edge, mm, held at the blade's rim beyond it."""
    outline = origins.ground.blade.outline
    held = np.clip(along, 0, outline.length)
    return along, across, outline.edge_distance(held, np.clip(across, outline.edge(held), outline.spine(held)))


def _cells(origins: Origins, side: Side, places: Array) -> Array:
    """Return column and row (2, ...), in cells, of what shows at places (2, ...) of a face, mm."""
    x, y, z, _ = origins.of_face(side, *on_face(origins, *places))
    return np.stack(np.broadcast_arrays(*origins.in_picture(x, y, z)))


def per_place(origins: Origins, side: Side, places: Array) -> Array:
    """Return what a millimetre along and across does to column and row, (n, 2, 2), at places (2, n)."""
    steps = REACH / 2 * np.array([[1, -1, 0, 0], [0, 0, 1, -1]])
    near = _cells(origins, side, places[:, None, :] + steps[:, :, None])
    return np.stack([near[:, 0] - near[:, 1], near[:, 2] - near[:, 3]], axis=-1).swapaxes(0, 1) / REACH
