"""The grind: how far each face stands from the blade's mid-plane, by distance to the edge.

Every bevel runs from the edge, at its thickness before sharpening, up to the grind line. A bevel is told by
its height or by its angle: two names of one thing, and ``hold`` says which one stays the same while the blade
tapers. The kinds of bevel are in `preview.blade.grinds`; here both faces are put together.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Array
from preview.base.errors import Fault
from preview.base.limits import Limit
from preview.base.settings import Angle, Control, Length, NonNegativeLength, PositiveLength, Settings
from preview.base.units import mm, say
from preview.blade.grinds import AnyBevel, Bevel, BevelLines, Flat

Side = Literal["right", "left"]
SIDES: tuple[Side, Side] = ("right", "left")


class Grind(Settings):
    """Both faces, the edge between them, and the unground flat at the heel.

    ``left`` is the same as ``right`` where it is left out. ``edge`` is the thickness at the edge before
    sharpening, ``edge_angle`` what it is sharpened at (degrees a side); ``edge_offset`` how far the edge lies off the
    mid-plane towards the right face (0 at a single bevel, whose edge lies on the face that is left flat); ``heel_flat``
    the unground length at the heel, where the outline has no ricasso, and ``plunge`` the length over which the bevel
    then runs in, all in mm. Starting values are common practice, no published source.
    """

    right: Annotated[
        AnyBevel, Control("Grind", help="Unground leaves the face flat: the other one becomes a single bevel.")
    ] = Flat()
    left: AnyBevel | None = None
    edge: Annotated[
        PositiveLength,
        Control("Edge before sharpening", "mm", "Thickness left at the edge, for the stones.", least=0.01, step=0.05),
    ] = 0.4
    edge_offset: Annotated[
        Length,
        Control(
            "Edge off centre", "mm",
            "Towards the right face; 0 when both sides are ground alike, or one only.", step=0.05,
        ),
    ] = 0.0  # fmt: skip
    edge_angle: Annotated[
        Annotated[Angle, Field(gt=0, le=45)],
        Control(
            "Edge sharpened at", "° a side", "From the blade's middle, on each side: the bright strip along the edge.",
            least=8.0, most=30.0, step=0.5,
        ),
    ] = 17.0  # fmt: skip
    heel_flat: Annotated[
        NonNegativeLength,
        Control("Flat at the heel", "mm", "Length that is not ground. A ricasso goes before it.", least=0.0),
    ] = 0.0
    plunge: Annotated[NonNegativeLength, Control("Plunge", "mm", "Length over which the bevel runs in.", least=0.0)] = (
        4.0
    )

    @model_validator(mode="after")
    def _something_ground(self) -> Self:
        if not (self.right.is_ground or self.bevel("left").is_ground):
            msg = "one face at least has to be ground; neither is"
            raise ValueError(msg)
        return self

    def bevel(self, side: Side) -> Bevel:
        """Return the bevel of ``right`` or ``left``."""
        return self.right if side == "right" or self.left is None else self.left

    @property
    def sides(self) -> dict[Side, str]:
        """The faces that are ground, one of two that are ground alike, and the key that each stands at."""
        told: dict[Side, str] = {"right": "right"} if self.left is None else {"right": "right", "left": "left"}
        return {side: key for side, key in told.items() if self.bevel(side).is_ground}

    @property
    def single(self) -> bool:
        """Whether one face only is ground."""
        return not (self.bevel("right").is_ground and self.bevel("left").is_ground)

    def edge_fault(self, lines: BevelLines) -> Fault | None:
        """Return what is impossible about the edge where a face is ground to ``lines``, or None."""
        if (lines.face > lines.foot).all():
            return None
        words = "has to be thinner than the blade is at its thinnest ({}); given {}"
        sizes = [mm(2 * float(lines.face.min()), form=".3g"), mm(self.edge, form="g")]
        if self.edge_offset:
            words += ", {} off the middle"
            sizes.append(mm(abs(self.edge_offset), form="g"))
        return Fault("edge", say(words, *sizes))

    def limits(
        self, along: Array, thickness: Array, length: float, blade_height: float, flat: float = 0.0
    ) -> Iterator[Limit]:
        """Yield what its numbers may be on a blade, in the order in which they settle each other.

        Arrays, ``blade_height`` and ``flat`` as for `lines`; ``length`` is the blade's, mm.
        """
        thinnest = float(thickness.min())
        yield Limit("edge", self.edge, thinnest, "this thickness", fine=0.01, open=True)
        off, cause = (0.0, "a single bevel") if self.single else ((thinnest - self.edge) / 2, "this edge")
        for most in (True, False):
            bound = off if most else -off
            yield Limit("edge_offset", self.edge_offset, bound, cause, most=most, fine=0.01, open=not self.single)
        yield Limit("heel_flat", self.heel_flat, length, "this blade length", open=True)
        yield Limit("plunge", self.plunge, length - flat, "this flat at the heel", open=True)
        for side, key in self.sides.items():
            lines = self.lines(side, along, thickness, blade_height, flat)
            yield from (limit.under(key) for limit in lines.bevel.limits(lines.foot, lines.face, blade_height))

    def lines(self, side: Side, along: Array, thickness: Array, blade_height: float, flat: float = 0.0) -> BevelLines:
        """Return the bevel of one face at stations ``along`` (mm), where the blade is ``thickness`` mm thick.

        ``flat`` is how much (mm) is left unground at the heel; see `Ground.heel_flat`.
        """
        bevel, other = self.bevel(side), self.bevel("left" if side == "right" else "right")
        face = thickness / 2
        if not bevel.is_ground:
            return BevelLines(bevel, face, face, np.full_like(face, np.inf), np.zeros_like(face))
        if not other.is_ground:
            foot = self.edge - face
        else:
            foot = np.full_like(face, self.edge / 2 + (self.edge_offset if side == "right" else -self.edge_offset))
        height = bevel.line_height(foot, face, blade_height)
        run_in = np.clip(along - flat, 0, self.plunge) / self.plunge if self.plunge else along >= flat
        depth = run_in * run_in * (3 - 2 * run_in) if flat else np.ones_like(face)
        return BevelLines(bevel, foot, face, height, np.asarray(depth, dtype=float))
