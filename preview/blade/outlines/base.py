"""The contract every outline keeps.

``along`` runs from the heel (0) to the tip, ``across`` from the edge's baseline (0) to the spine, in mm.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from scipy.spatial import cKDTree

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.base.settings import Control, PositiveLength, Settings

_CHORD, _SAG = 0.08, 1e-5
"""The edge is followed by chords of at most this length (mm), and at most this far off the curve."""


class Outline(Settings):
    """Edge curve and spine curve of a blade, with its length and its height at the heel in mm.

    Subclasses give ``shape`` (the name in the job file), `edge` and `spine`; both curves end in the tip.
    """

    shape: str
    length: Annotated[
        PositiveLength, Control("Blade length", "mm", "Heel to tip, without the tang.", least=1.0, step=0.5)
    ] = 180.0
    height: Annotated[
        PositiveLength, Control("Blade height", "mm", "Edge to spine at the heel.", least=1.0, step=0.5)
    ] = 36.0

    def edge(self, along: Array) -> Array:
        """Return ``across`` (mm) of the edge at positions ``along`` (mm)."""
        raise NotImplementedError

    def spine(self, along: Array) -> Array:
        """Return ``across`` (mm) of the spine at positions ``along`` (mm)."""
        raise NotImplementedError

    @property
    def tip(self) -> tuple[float, float]:
        """The tip's ``along`` and ``across``, in mm."""
        return (self.length, float(self.edge(np.array(self.length))))

    def contains(self, along: Array, across: Array) -> Mask:
        """Say which points (broadcastable arrays, mm, blade frame) lie inside the outline."""
        inside = (along >= 0) & (along <= self.length)
        return np.asarray(inside & (across >= self.edge(along)) & (across <= self.spine(along)))

    def edge_distance(self, along: Array, across: Array) -> Array:
        """Return the distance (mm) of points to the edge curve, whatever its form; NaN where a point is."""
        along, across = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(across, dtype=float))
        points = np.stack([along.ravel(), across.ravel()], axis=1)
        known = np.isfinite(points).all(axis=1)
        corners, tree = _edge_line(self)
        points = points[known]
        nearest = tree.query(points)[1]
        found = np.full(along.size, np.nan)
        # the nearest place is on one of the two chords that meet in the nearest corner
        found[known] = np.minimum(
            _to_chord(points, corners, np.maximum(nearest - 1, 0)),
            _to_chord(points, corners, np.minimum(nearest, len(corners) - 2)),
        )
        return found.reshape(along.shape)


def _to_chord(points: Array, corners: Array, number: Array) -> Array:
    start, run = corners[number], corners[number + 1] - corners[number]
    off = points - start
    share = np.clip((off * run).sum(axis=1) / (run * run).sum(axis=1), 0, 1)
    return np.asarray(np.hypot(*(off - share[:, None] * run).T))


@kept
def _edge_line(outline: Outline) -> tuple[Array, cKDTree]:
    """Return the edge as corners of a fine line, ``(corners, 2)`` in mm, and their search tree."""
    along = np.linspace(0, outline.length, int(np.ceil(outline.length / _CHORD)) + 1)
    for _ in range(40):  # a step in the edge stays one however often it is halved
        across = outline.edge(along)
        run, rise, middle = np.diff(along), np.diff(across), (along[1:] + along[:-1]) / 2
        chord = np.hypot(run, rise)
        sag = np.abs(outline.edge(middle) - (across[1:] + across[:-1]) / 2) * run / chord
        coarse = (chord > 1.01 * _CHORD) | (sag > _SAG)
        if not coarse.any():
            break
        along = np.insert(along, np.flatnonzero(coarse) + 1, middle[coarse])
    corners = np.stack([along, outline.edge(along)], axis=1)
    return corners, cKDTree(corners)
