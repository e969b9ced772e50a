"""A convex grind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import Fault
from preview.base.limits import Limit
from preview.base.settings import Control, PositiveLength
from preview.base.units import mm, say
from preview.blade.grinds.arc import ArcBevel
from preview.blade.grinds.base import BevelLines


class Convex(ArcBevel):
    """Ground on a slack belt: an arc that stands ``sag`` mm over the chord in its middle."""

    kind: Literal["convex"] = "convex"
    sag: Annotated[
        PositiveLength,
        Control(
            "Bulge", "mm",
            "How far a convex bevel stands over the straight line from edge to grind line.", least=0.01, step=0.05,
        ),
    ] = 0.15  # fmt: skip

    title: ClassVar[str] = "convex grind"
    bulges: ClassVar[bool] = True

    def radius(self, chord: Array) -> Array:
        """See `ArcBevel.radius`."""
        return (chord**2 / 4 + self.sag**2) / (2 * self.sag)

    def own_limits(self, lines: BevelLines, blade_height: float) -> Iterator[Limit]:  # noqa: ARG002 - the contract
        """See `GroundBevel.own_limits`.

        At the limit the arc is tangent to the unground face at the grind line. Over a chord that rises at the angle a
        it then stands ``chord / 2 tan(a / 2)`` high in its middle: ``chord rise / (2 (chord + height))``.
        """
        rise = lines.face - lines.foot
        chord = np.hypot(rise, lines.height)
        most = float((chord * rise / (chord + lines.height)).min()) / 2
        cause = "this grind height" if self.held_angle is None else "this grind angle"
        yield Limit("sag", self.sag, most, cause, fine=0.01)

    def fault(self, lines: BevelLines) -> Fault | None:
        """See `Bevel.fault`."""
        _, centre, _ = self.circle(lines)
        if (centre < lines.height - 1e-9).any():
            words = "a bulge of {} would stand proud of the unground face; a smaller one is needed"
            return Fault("sag", say(words, mm(self.sag, form="g")))
        return None

    def lowered(self, share: float, line: float) -> Self:
        """See `Bevel.lowered`: one slack belt sags by the square less over a shorter chord."""
        return super().lowered(share, line).model_copy(update={"sag": self.sag * share**2})
