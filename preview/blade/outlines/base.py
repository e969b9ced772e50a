"""The contract every outline keeps.

``along`` runs from the heel (0) to the tip, ``across`` from the edge's baseline (0) to the spine, in mm.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.base.settings import Control, PositiveLength, Settings
from preview.blade.outlines.distance import EdgeLine, followed


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
        found = np.full(along.size, np.nan)
        found[known] = _edge_line(self).distance(points[known])
        return found.reshape(along.shape)


@kept
def _edge_line(outline: Outline) -> EdgeLine:
    return EdgeLine.through(followed(outline.edge, 0.0, outline.length), outline.height)
