"""The blade and where it lies in the bar."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.settings import Length, NonNegativeLength, PositiveLength, Settings
from preview.blade.outlines import AnyOutline, NamedOutline
from preview.forging.bar import Bar


class Placement(Settings):
    """Where the blade lies in the bar, in mm; left out, it lies in the middle.

    ``heel`` from the bar's heel end to the blade's heel, ``edge`` from the bar's edge side to the edge's
    baseline, ``mid_plane`` from the bar's mid-plane to the blade's, towards the right face.
    """

    heel: NonNegativeLength | None = None
    edge: NonNegativeLength | None = None
    mid_plane: Length = 0.0


class Blade(Settings):
    """Outline, thickness before the bevels are ground, and place in the bar.

    ``thickness`` (mm) is the bar's where it is left out. ``tip_thickness`` gives a ground distal taper,
    straight from the heel to the tip.
    """

    outline: AnyOutline = NamedOutline()
    thickness: PositiveLength | None = None
    tip_thickness: PositiveLength | None = None
    placement: Placement = Placement()

    def corner(self, bar: Bar) -> tuple[float, float, float]:
        """Return the blade frame's origin in the bar frame, in mm."""
        heel, edge = self.placement.heel, self.placement.edge
        return (
            -self.outline.length / 2 if heel is None else heel - bar.length / 2,
            -self.outline.height / 2 if edge is None else edge - bar.width / 2,
            self.placement.mid_plane,
        )

    def blade_to_bar(self, along: Array, across: Array, through: Array, bar: Bar) -> tuple[Array, Array, Array]:
        """Carry points (broadcastable arrays, mm) from the blade frame to the bar frame."""
        x, y, z = self.corner(bar)
        return along + x, across + y, through + z

    def bar_to_blade(self, along: Array, across: Array, through: Array, bar: Bar) -> tuple[Array, Array, Array]:
        """Carry points (broadcastable arrays, mm) from the bar frame to the blade frame."""
        x, y, z = self.corner(bar)
        return along - x, across - y, through - z

    def thickness_at(self, along: Array, bar: Bar) -> Array:
        """Return the thickness (mm) before the bevels are ground at stations ``along`` (mm, blade frame).

        It is the least of what the bar gives at the spine side and what the blade is ground to.
        """
        along = np.asarray(along, dtype=float)
        x, _, _ = self.corner(bar)
        forged = bar.thickness_at(along + x, bar.width / 2)
        heel = self.thickness or bar.thickness
        tip = heel if self.tip_thickness is None else self.tip_thickness
        share = np.clip(along / self.outline.length, 0, 1)
        return np.asarray(np.minimum(forged, heel + (tip - heel) * share))
