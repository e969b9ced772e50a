"""What lies behind the heel in a picture: the tang, or a plain handle over it; a shape only, not a design."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.curves import monotone
from preview.blade.outlines import Outline

LONG, HIGH = 112.0, 25.0
"""Least length and usual height of a handle over a hidden tang, mm: what a hand takes hold of."""

OVER_END, OVER_SIDE = 8.0, 4.0
"""Least of the handle beyond a hidden tang's end, and above and below it, mm."""

SLIMMER = 0.8
"""Share of a hidden tang's handle's height that is left at its front."""

FLUSH, SWELL = 0.3, 2.2
"""How far a full tang's handle stands out above and below it, at its front and where it is widest, mm."""

COLLAR = 9.0
"""Length of the steel collar between blade and handle, mm."""

UPPER = ((0, 0.0), (0.12, 0.0), (0.45, 0.65), (0.8, 1.0), (1, 0.75))
LOWER = ((0, 0.0), (0.14, -0.06), (0.32, 0.3), (0.56, 1.1), (0.82, 0.6), (1, 1.1))
"""How far a handle has swelled from its front's height (0) to its widest (1), by the share of its length."""

BUTT = 0.5
"""Reach of the rounding of a handle's end, in shares of half its height there."""

SQUARER = 2.6
"""Exponent of a handle's cross-section and of its rounded end, 2 being an ellipse."""

THICK, FLATTER = 20.0, 0.78
"""A handle's thickness: no more than so many mm, nor than so much of its height there."""

STATIONS = 60

# the sizes above are our own choice


@dataclass(frozen=True, eq=False)
class Behind:
    """What lies behind the heel, blade frame, mm; empty where there is none.

    Parameters
    ----------
    tang
        What shows of the tang: a closed polygon ``(n, 2)``.
    grip
        The handle with its collar: ``(n, 3)``, place along the blade, from its end to the heel, lowest and highest
        place over the edge's baseline there.
    """

    tang: Array
    grip: Array

    @property
    def collar(self) -> float:
        """Where the collar ends and the handle begins, mm from the heel: a station of ``grip``; 0 for none."""
        return _collar(-float(self.grip[0, 0])) if self.grip.size else 0.0

    @property
    def handle(self) -> Array:
        """The outline of the handle with its collar, a closed polygon ``(n, 2)``."""
        return np.concatenate([self.grip[:, :2], self.grip[::-1, ::2]])

    @property
    def reach(self) -> tuple[float, float, float]:
        """How far they reach: behind the heel, lowest and highest place over the edge's baseline, mm; 0 for none."""
        points = np.concatenate([[(0.0, 0.0)], self.tang, self.handle])
        return -float(points[:, 0].min()), float(points[:, 1].min()), float(points[:, 1].max())


@kept
def behind_heel(outline: Outline, handle: str) -> Behind:
    """Return what lies behind the heel of ``outline`` with a ``plain`` handle, or with ``none``."""
    if not outline.tang_length:
        return Behind(np.zeros((0, 2)), np.zeros((0, 3)))
    heel = np.array([outline.spine(np.zeros(1)), outline.edge(np.zeros(1))]).reshape(2, 1)
    ends = np.concatenate([np.zeros((2, 1)), heel], axis=1)
    tang = shapely.make_valid(shapely.Polygon([ends[0], *outline.tang_polygon, ends[1]]))
    if handle == "none":
        return Behind(_ring(tang), np.zeros((0, 3)))
    return Behind(np.zeros((0, 2)), _on_full(tang) if outline.tang_is_full else _over(tang, float(np.ptp(heel))))


def half_thickness(high: Array) -> Array:
    """Return half the thickness (mm) of a handle where it is ``high`` mm from its lowest to its highest place."""
    return np.asarray(np.minimum(high / 2 * FLATTER, THICK / 2))


def _on_full(tang: shapely.Geometry) -> Array:
    """Return a handle on a full ``tang``: it follows it, and swells a little more."""
    length = -tang.bounds[0]
    along, share = _stations(length)
    on_it = np.clip(along, -length * 0.9999, -min(0.5, length / 4))
    spans = [shapely.intersection(tang, shapely.LineString([(x, -1e4), (x, 1e4)])).bounds for x in on_it]
    low, high = np.array([(span[1], span[3]) for span in spans]).T
    out, more = FLUSH, SWELL - FLUSH
    return np.stack([along, low - out - more * _swell(LOWER, share), high + out + more * _swell(UPPER, share)], axis=1)


def _over(tang: shapely.Geometry, heel: float) -> Array:
    """Return a handle over a hidden ``tang`` of a blade that is ``heel`` mm high at the heel."""
    back, low, _, high = tang.intersection(shapely.box(-1e4, -1e4, max(-0.5, tang.bounds[0] / 4), 1e4)).bounds
    widest = max((high - low) / 2 + OVER_SIDE, min(HIGH, heel) / 2)
    front = max(SLIMMER * widest, (high - low) / 2 + 1)
    along, share = _stations(max(OVER_END - back, LONG))
    below, above = (front + (widest - front) * _swell(knots, share) for knots in (LOWER, UPPER))
    middle = (low + high) / 2
    left = np.clip((along - along[0]) / (BUTT * (below[0] + above[0]) / 2), 0.004, 1)  # its end is rounded
    rounded = (1 - (1 - left) ** SQUARER) ** (1 / SQUARER)
    return np.stack([along, middle - below * rounded, middle + above * rounded], axis=1)


def _stations(length: float) -> tuple[Array, Array]:
    """Return places along a handle from its end to the heel, mm, denser at its end; and their shares of its length."""
    dense = 1 - np.cos(np.linspace(0, np.pi / 2, STATIONS))
    along = np.unique(np.concatenate([-length * (1 - dense), [_collar(length)]]))
    return along, -along / length


def _collar(length: float) -> float:
    return -min(COLLAR, length / 3)


def _swell(knots: tuple[tuple[float, float], ...], share: Array) -> Array:
    places, heights = np.transpose(knots)
    return monotone(places, heights, share)


def _ring(shape: shapely.Geometry) -> Array:
    """Return the outline of a shape's largest part, ``(n, 2)``; empty for none."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and not part.is_empty]
    return np.array(max(parts, key=lambda part: part.area).exterior.coords[:-1]) if parts else np.zeros((0, 2))
