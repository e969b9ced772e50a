"""Spots all over a face, its rim among them, and where in the can they came from."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.blade.grind import Side
from preview.blade.outlines import Outline
from preview.forging.history import pull_back
from preview.job.job import Job


@kept
def _spots(outline: Outline, spots: tuple[int, int]) -> tuple[Array, Array, Array]:
    """Return spots between edge and spine: along (one row), across, and their distance to the edge, mm."""
    along = np.linspace(0, outline.length, spots[0])[None, :]
    edge, spine = outline.edge(along), outline.spine(along)
    across = edge + np.linspace(0, 1, spots[1])[:, None] * (spine - edge)
    return along, across, outline.edge_distance(np.broadcast_to(along, across.shape), across)


def bar_points(job: Job, side: Side, spots: tuple[int, int], under: float = 0.0) -> tuple[Array, Array, Array]:
    """Return the bar's coordinates (mm, broadcastable) of spots ``under`` mm under a ground face; see `can_points`."""
    along, across, distance = _spots(job.blade.outline, spots)
    ground = job.ground
    stand = ground.stand(side, along, across, distance) - under
    return ground.blade.blade_to_bar(along, across, stand if side == "right" else -stand, ground.bar)


def can_points(job: Job, side: Side, spots: tuple[int, int], under: float = 0.0) -> tuple[Array, Array, Array, Mask]:
    """Return the can coordinates (mm) of spots ``under`` mm under a ground face, and where there is metal.

    ``spots`` is how many along, and from edge to spine; arrays are ``(edge to spine, along)``.
    """
    points = bar_points(job, side, spots, under)
    x, y, z, metal = np.broadcast_arrays(*pull_back(job.history)(*points), points[2])[:4]
    return x, y, z, metal
