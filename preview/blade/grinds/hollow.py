"""A hollow grind."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.settings import Control, PositiveLength
from preview.base.units import Sentence, mm, say
from preview.blade.grinds.arc import ArcBevel
from preview.blade.grinds.base import BevelLines


class Hollow(ArcBevel):
    """Ground on a contact wheel of ``wheel_radius`` mm."""

    kind: Literal["hollow"] = "hollow"
    wheel_radius: Annotated[
        PositiveLength, Control("Wheel radius", "mm", "Half the contact wheel's diameter.", least=1.0, step=5.0)
    ] = 125.0

    title: ClassVar[str] = "hollow grind"
    bulges: ClassVar[bool] = False

    def radius(self, chord: Array) -> Array:
        """See `ArcBevel.radius`."""
        return np.full_like(chord, self.wheel_radius)

    def fault(self, lines: BevelLines) -> Sentence | None:
        """See `Bevel.fault`."""
        shared = super().fault(lines)
        if shared:
            return shared
        wheel = mm(self.wheel_radius, form="g")
        chord = float(np.hypot(lines.face - lines.foot, lines.height).max())
        if chord > 2 * self.wheel_radius:
            words = "a wheel of {} radius cannot reach over {}; a larger wheel or a lower bevel is needed"
            return say(words, wheel, mm(chord))
        _, centre, _ = self.circle(lines)
        if (centre > 1e-9).any():
            words = "a wheel of {} radius grinds thinner behind the edge than at it; a larger wheel or a lower bevel "
            return say(words + "is needed", wheel)
        return None
