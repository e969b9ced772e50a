"""What lies behind the heel in a picture: the tang, and a plain handle on it; shapes only, not a design."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.blade.outlines import Outline

RIM = 0.9
"""How much of a full tang shows round the handle that lies on it, mm."""

FRONT = 4.0
"""How far behind the heel such a handle begins, mm."""

LONG, HIGH = 112.0, 25.0
"""Least length and usual height of a handle over a hidden tang, mm: what a hand takes hold of."""

OVER_END, OVER_SIDE = 8.0, 4.0
"""Least of the handle beyond a hidden tang's end, and above and below it, mm."""

SLIMMER = 0.86
"""Share of the handle's height that is left at its front."""

# the sizes above are our own choice


@dataclass(frozen=True, eq=False)
class Behind:
    """Shapes behind the heel, each a closed polygon ``(n, 2)``, blade frame, mm; empty where there is none.

    Parameters
    ----------
    tang
        What shows of the tang.
    handle
        The handle that lies over it.
    """

    tang: Array
    handle: Array

    @property
    def reach(self) -> tuple[float, float, float]:
        """How far they reach: behind the heel, lowest and highest place over the edge's baseline, mm; 0 for none."""
        points = np.concatenate([[(0.0, 0.0)], self.tang, self.handle])
        return -float(points[:, 0].min()), float(points[:, 1].min()), float(points[:, 1].max())


@kept
def behind_heel(outline: Outline, handle: str) -> Behind:
    """Return what lies behind the heel of ``outline`` with a ``plain`` handle, or with ``none``."""
    none = np.zeros((0, 2))
    if not outline.tang_length:
        return Behind(none, none)
    heel = np.array([outline.spine(np.zeros(1)), outline.edge(np.zeros(1))]).reshape(2, 1)
    ends = np.concatenate([np.zeros((2, 1)), heel], axis=1)
    tang = shapely.make_valid(shapely.Polygon([ends[0], *outline.tang_polygon, ends[1]]))
    if handle == "none":
        return Behind(_ring(tang), none)
    if outline.tang_is_full:
        on_it = _before(tang.buffer(-RIM), -FRONT)
        return Behind(_ring(tang), _ring(_rounded(on_it, 2.5)))
    return Behind(none, _ring(_over(tang, float(heel[0, 0] - heel[1, 0]))))


def _over(tang: shapely.Geometry, heel: float) -> shapely.Geometry:
    """Return a handle over a hidden ``tang`` of a blade that is ``heel`` mm high at the heel."""
    back, low, _, high = tang.intersection(shapely.box(-1e4, -1e4, -0.5, 1e4)).bounds
    half = max((high - low) / 2 + OVER_SIDE, min(HIGH, heel) / 2)
    length, middle = max(OVER_END - back, LONG), (low + high) / 2
    ahead = half * (SLIMMER + (SLIMMER - 1) * half / length)  # its sides, drawn on beyond the heel
    sides = [(half, middle - ahead), (-length, middle - half), (-length, middle + half), (half, middle + ahead)]
    return _rounded(_before(_rounded(shapely.Polygon(sides), 0.55 * half), 0.0), 0.8)


def _before(shape: shapely.Geometry, along: float) -> shapely.Geometry:
    """Return what of a shape lies behind ``along`` (mm)."""
    return shape.intersection(shapely.box(-1e4, -1e4, along, 1e4))


def _rounded(shape: shapely.Geometry, radius: float) -> shapely.Geometry:
    return shape.buffer(-radius).buffer(radius)


def _ring(shape: shapely.Geometry) -> Array:
    """Return the outline of a shape's largest part, ``(n, 2)``; empty for none."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and not part.is_empty]
    return np.array(max(parts, key=lambda part: part.area).exterior.coords[:-1]) if parts else np.zeros((0, 2))
