"""The blade and where it lies in the bar."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, Length, NonNegativeLength, PositiveLength, Settings, Switch
from preview.blade.outlines import AnyOutline, NamedOutline
from preview.forging.bar import Bar


class Placement(Settings):
    """Where the blade lies in the bar, in mm; left out, it lies in the middle, together with its tang.

    ``off`` is how far off that middle it lies, towards the tip and towards the spine; marked so, it is where it is
    meant whatever length and width the bar comes out at. Or it lies ``heel`` from the bar's heel end to the blade's
    heel, ``edge`` from the bar's edge side to the edge's baseline. ``mid_plane`` from the bar's mid-plane to the
    blade's, towards the right face. A bar that is ``turned`` by half a turn on the bench has its tip end at the heel
    and its spine side at the edge; one that is ``mirrored``, laid on its other face, its tip end at the heel, and what
    was its left face is the right one. Ends, sides and faces are then those that lie there.
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
    off: Annotated[
        tuple[Length, Length],
        Control(
            "Off the middle", "mm", "Where the place along or across the bar is not given.",
            ends=("towards the tip", "towards the spine"), step=0.5,
        ),
    ] = (0.0, 0.0)  # fmt: skip
    mid_plane: Annotated[
        Length,
        Control(
            "Off the bar's middle", "mm",
            "How far the blade's middle lies off the bar's, towards the right face.", step=0.1,
        ),
    ] = 0.0  # fmt: skip
    turned: Annotated[
        Switch, Control("Bar turned round", help="Half a turn on the bench: the picture stands on its head.")
    ] = False
    mirrored: Annotated[
        Switch, Control("Bar on its other face", help="Laid over end for end: the picture is mirrored, heel to tip.")
    ] = False

    @property
    def signs(self) -> tuple[int, int, int]:
        """Which way (1 or -1) the blade's axes go along, across and through the bar."""
        turned, mirrored = (-1 if each else 1 for each in (self.turned, self.mirrored))
        return turned * mirrored, turned, mirrored

    @property
    def words(self) -> str:
        """How the bar lies, as the end of a sentence; nothing where it lies as it was forged."""
        return {
            (False, False): "",
            (True, False): "turned round, its tip end at the heel and its spine side at the edge",
            (False, True): "on its other face, its tip end at the heel",
            (True, True): "on its other face, its spine side at the edge",
        }[self.turned, self.mirrored]


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

    def limits(self, bar: Bar) -> Iterator[Limit]:
        """Yield what its numbers may be in ``bar``, in the order in which they settle each other."""
        outline, placement = self.outline, self.placement
        yield from (limit.under("outline") for limit in outline.limits((bar.length, bar.width)))
        thick = self.thickness or bar.thickness
        if self.thickness is not None:
            yield Limit("thickness", self.thickness, bar.thickness, "this bar")
        if self.tip_thickness is not None:
            yield Limit("tip_thickness", self.tip_thickness, thick, "this thickness")
        if placement.heel is not None:
            yield Limit("placement.heel", placement.heel, bar.length - outline.length, "this blade length")
        if placement.edge is not None:
            yield Limit("placement.edge", placement.edge, bar.width - outline.height, "this blade height")
        for axis, (given, room) in enumerate(zip((placement.heel, placement.edge), self.room(bar), strict=True)):
            for most in (True, False) if given is None else ():
                yield Limit(f"placement.off[{axis}]", placement.off[axis], room[most], "this bar", most=most, fine=0.01)
        for most in (True, False):
            bound = (bar.thickness - thick) / (2 if most else -2)
            yield Limit("placement.mid_plane", placement.mid_plane, bound, "this thickness", most=most, fine=0.01)

    def corner(self, bar: Bar) -> tuple[float, float, float]:
        """Return the blade frame's origin in the bar, in mm from its middle, along, across and through as it lies.

        Where the tang is too long for the bar, it is the tang that reaches out of it, not the blade.
        """
        heel, edge, (ahead, aside) = self.placement.heel, self.placement.edge, self.placement.off
        middle = self._middle(bar)
        return (
            middle[0] + ahead if heel is None else heel - bar.length / 2,
            middle[1] + aside if edge is None else edge - bar.width / 2,
            self.placement.mid_plane,
        )

    def _middle(self, bar: Bar) -> tuple[float, float]:
        """Return where the blade's heel and edge lie from the bar's middle, mm, where no place is given."""
        length = self.outline.length
        return min((self.outline.tang_length - length) / 2, bar.length / 2 - length), -self.outline.height / 2

    def room(self, bar: Bar) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return the least and the most (mm) that the blade can lie off the middle of ``bar``, along and across."""
        (heel, edge), (length, width, _) = self._middle(bar), bar.size
        along = -length / 2 - heel, length / 2 - self.outline.length - heel
        return along, (-width / 2 - edge, width / 2 - self.outline.height - edge)

    def blade_to_bar(self, along: Array, across: Array, through: Array, bar: Bar) -> tuple[Array, Array, Array]:
        """Carry points (broadcastable arrays, mm) from the blade frame to the bar frame."""
        x, y, z = self.corner(bar)
        return self._as_laid(along + x, across + y, through + z)

    def bar_to_blade(self, along: Array, across: Array, through: Array, bar: Bar) -> tuple[Array, Array, Array]:
        """Carry points (broadcastable arrays, mm) from the bar frame to the blade frame."""
        x, y, z = self.corner(bar)
        along, across, through = self._as_laid(along, across, through)
        return along - x, across - y, through - z

    def in_plan(self, along: Array, across: Array, bar: Bar) -> tuple[Array, Array]:
        """Carry places (broadcastable arrays, mm) from the blade frame to the bar's plan, seen on its right face."""
        return self.blade_to_bar(along, across, np.zeros(1), bar)[:2]

    def _as_laid(self, *places: Array) -> tuple[Array, Array, Array]:
        """Return places from the bar's middle turned as the bar lies, or back: half turns undo themselves."""
        x, y, z = (place if sign > 0 else -place for place, sign in zip(places, self.placement.signs, strict=True))
        return x, y, z

    def thickness_at(self, along: Array, bar: Bar) -> Array:
        """Return the thickness (mm) before the bevels are ground at stations ``along`` (mm, blade frame).

        It is the least of what the bar gives at the spine side and what the blade is ground to.
        """
        along = np.asarray(along, dtype=float)
        x, side = self.in_plan(along, np.array(bar.width / 2 - self.corner(bar)[1]), bar)
        forged = bar.thickness_at(x, side)
        heel = self.thickness or bar.thickness
        tip = heel if self.tip_thickness is None else self.tip_thickness
        share = np.clip(along / self.outline.length, 0, 1)
        return np.asarray(np.minimum(forged, heel + (tip - heel) * share))
