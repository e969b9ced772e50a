"""The blade and where it lies in the bar."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.settings import Control, Length, NonNegativeLength, PositiveLength, Settings
from preview.blade.outlines import AnyOutline, NamedOutline
from preview.forging.bar import Bar


class Placement(Settings):
    """Where the blade lies in the bar, in mm; left out, it lies in the middle, together with its tang.

    ``heel`` from the bar's heel end to the blade's heel, ``edge`` from the bar's edge side to the edge's
    baseline, ``mid_plane`` from the bar's mid-plane to the blade's, towards the right face.
    """

    heel: Annotated[
        NonNegativeLength | None,
        Control(
            "Heel from the bar's end", "mm", "From the bar's heel end to the blade's heel.",
            least=0.0, offer="Place along the bar", start=5.0,
        ),
    ] = None  # fmt: skip
    edge: Annotated[
        NonNegativeLength | None,
        Control(
            "Edge from the bar's side", "mm", "From the bar's edge side to the blade's edge.",
            least=0.0, offer="Place across the bar", start=3.0,
        ),
    ] = None  # fmt: skip
    mid_plane: Annotated[
        Length,
        Control(
            "Off the bar's middle", "mm",
            "How far the blade's middle lies off the bar's, towards the right face.", step=0.1,
        ),
    ] = 0.0  # fmt: skip


class Blade(Settings):
    """Outline, thickness before the bevels are ground, and place in the bar.

    ``thickness`` (mm) is the bar's where it is left out. ``tip_thickness`` gives a ground distal taper,
    straight from the heel to the tip. ``handle`` is what the pictures show on the tang, where there is one.
    """

    outline: Annotated[AnyOutline, Control("Outline", help="The profile, by its trade name.")] = NamedOutline()
    thickness: Annotated[
        PositiveLength | None,
        Control(
            "Thickness", "mm", "At the spine, before the bevels are ground.",
            least=0.1, step=0.1, offer="Thinner than the bar", start=4.0,
        ),
    ] = None  # fmt: skip
    tip_thickness: Annotated[
        PositiveLength | None,
        Control(
            "At the tip", "mm", "At the spine's end: ground thinner towards the tip.",
            least=0.1, step=0.1, offer="Ground distal taper", start=2.0,
        ),
    ] = None  # fmt: skip
    placement: Annotated[
        Placement,
        Control("Place in the bar", help="Where the blade lies in the bar. Left alone, it lies in the middle."),
    ] = Placement()
    handle: Annotated[
        Literal["plain", "none"],
        Control("Handle", help="Behind the heel of a blade with a tang: a plain shape in its place, or the bare tang."),
    ] = "plain"

    def corner(self, bar: Bar) -> tuple[float, float, float]:
        """Return the blade frame's origin in the bar frame, in mm.

        Where the tang is too long for the bar, it is the tang that reaches out of it, not the blade.
        """
        heel, edge = self.placement.heel, self.placement.edge
        length = self.outline.length
        middle = min((self.outline.tang_length - length) / 2, bar.length / 2 - length)
        return (
            middle if heel is None else heel - bar.length / 2,
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
