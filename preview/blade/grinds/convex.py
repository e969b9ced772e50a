"""A convex grind."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, Self

from preview.base.arrays import Array
from preview.base.settings import Control, PositiveLength
from preview.base.units import Sentence, mm, say
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

    def fault(self, lines: BevelLines) -> Sentence | None:
        """See `Bevel.fault`."""
        shared = super().fault(lines)
        if shared:
            return shared
        _, centre, _ = self.circle(lines)
        if (centre < lines.height - 1e-9).any():
            words = "a sag of {} would stand proud of the unground face; a smaller one is needed"
            return say(words, mm(self.sag, form="g"))
        return None

    def lowered(self, share: float, line: float) -> Self:
        """See `Bevel.lowered`: one slack belt sags by the square less over a shorter chord."""
        return super().lowered(share, line).model_copy(update={"sag": self.sag * share**2})
