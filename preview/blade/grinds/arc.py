"""What hollow and convex grinds share: a circle through the edge and the grind line."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from preview.base.arrays import Array
from preview.blade.grinds.base import BevelLines, GroundBevel


class ArcBevel(GroundBevel):
    """A round bevel. Subclasses give `radius`, and whether the arc ``bulges`` out of the blade or into it."""

    bulges: ClassVar[bool]

    def radius(self, chord: Array) -> Array:
        """Return the circle's radius (mm) over a ``chord`` (mm) from edge to grind line."""
        raise NotImplementedError

    def circle(self, lines: BevelLines) -> tuple[Array, Array, Array]:
        """Return the circle's radius, and its centre as distance from the edge and from the mid-plane, mm."""
        rise = lines.face - lines.foot
        chord = np.hypot(rise, lines.height)
        radius = self.radius(chord)
        outwards = np.sqrt(np.maximum(radius**2 - chord**2 / 4, 0)) / chord
        if self.bulges:
            outwards = -outwards
        return radius, lines.height / 2 - rise * outwards, (lines.foot + lines.face) / 2 + lines.height * outwards

    def surface(self, lines: BevelLines, distance: Array) -> Array:
        """See `GroundBevel.surface`."""
        number = distance.dtype.type
        radius, centre, off = (each.astype(number) for each in self.circle(lines))
        ground = distance - centre
        np.multiply(ground, ground, out=ground)
        np.subtract(radius * radius, ground, out=ground)
        np.sqrt(np.maximum(ground, 0, out=ground), out=ground)
        ground = off + ground if self.bulges else off - ground
        return np.where(distance < lines.height.astype(number), ground, lines.face.astype(number))
