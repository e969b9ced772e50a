"""A compound grind: a second, steeper bevel next to the edge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import Field

from preview.base.arrays import Array
from preview.base.errors import Fault
from preview.base.limits import Limit
from preview.base.settings import Angle, Control, PositiveLength
from preview.base.units import Units, mm, say
from preview.blade.grinds.base import BevelLines, GroundBevel


class Compound(GroundBevel):
    """Two planes: a main bevel below the grind line, and a steeper one from the edge up to where they meet.

    The second bevel rises from the edge at ``edge_angle`` (degrees a side) and meets the main one ``edge_height`` mm
    from the edge. The main bevel runs on from there to the grind line; where ``hold`` is "angle", ``angle`` is its
    own. Starting values are common practice, no published source.
    """

    kind: Literal["compound"] = "compound"
    edge_height: Annotated[
        PositiveLength,
        Control(
            "Second bevel's height", "mm", "From the edge up to where the second bevel meets the main one.",
            least=0.1, step=0.1,
        ),
    ] = 2.0  # fmt: skip
    edge_angle: Annotated[
        Angle,
        Field(gt=0, lt=60),
        Control(
            "Second bevel's angle", "° a side", "From the blade's middle; steeper than the main bevel.",
            least=1.0, most=40.0, step=0.5,
        ),
    ] = 12.0  # fmt: skip

    title: ClassVar[str] = "compound grind"
    cause: ClassVar[str] = "this second bevel"

    @property
    def _edge_slope(self) -> float:
        return float(np.tan(np.radians(self.edge_angle)))

    def _shoulder(self, foot: Array) -> Array:
        """Return where the face stands (mm) at the line on which both bevels meet."""
        return np.asarray(foot + self.edge_height * self._edge_slope)

    def _main_slope(self, lines: BevelLines) -> Array:
        return np.asarray((lines.face - self._shoulder(lines.foot)) / (lines.height - self.edge_height))

    def line_height(self, foot: Array, face: Array, blade_height: float) -> Array:
        """See `Bevel.line_height`."""
        if self.held_angle is not None:
            return self.edge_height + super().line_height(self._shoulder(foot), face, blade_height)
        return super().line_height(foot, face, blade_height)

    def angle_of(self, lines: BevelLines) -> Array:
        """See `Bevel.angle_of`: that of the main bevel."""
        return np.degrees(np.arctan(self._main_slope(lines)))

    def surface(self, lines: BevelLines, distance: Array) -> Array:
        """See `GroundBevel.surface`: each plane is the lower one on its own side of the line where they meet."""
        number = distance.dtype.type
        slope = self._main_slope(lines)
        ground = distance * slope.astype(number)
        ground += (self._shoulder(lines.foot) - self.edge_height * slope).astype(number)
        second = distance * number(self._edge_slope)
        second = second + lines.foot.astype(number)  # which may hold more stations than there are distances
        return np.minimum(ground, second, out=ground)

    def heights(self, rise: Array) -> tuple[Array, Array]:
        """See `GroundBevel.heights`: the main bevel is the slighter one where the second, carried on, ends lower."""
        return rise / self._edge_slope, np.full_like(rise, np.inf)

    def own_limits(self, lines: BevelLines, blade_height: float) -> Iterator[Limit]:
        """See `GroundBevel.own_limits`."""
        rise = lines.face - lines.foot
        if self.held_angle is None:
            slightest = float(np.degrees(np.arctan(rise.max() / blade_height)))
            yield Limit("edge_angle", self.edge_angle, slightest, "this blade height", most=False, open=True, unit="°")
        highest = float(rise.min()) / self._edge_slope
        yield Limit("edge_height", self.edge_height, highest, "the second bevel's angle", open=True)

    def fault(self, lines: BevelLines) -> Fault | None:
        """See `Bevel.fault`."""
        up_to, angle = mm(self.edge_height, form="g"), f"{self.edge_angle:g}°"
        over = self._shoulder(lines.foot) - lines.face
        if (over >= 0).any():
            words = "a second bevel of {} up to {} from the edge would stand {} proud of the unground face"
            proud = mm(float(over.max()), form=".2g")
            return Fault("edge_height", say(words + "; a lower or less steep one is needed", angle, up_to, proud))
        line = float(lines.height.min())
        if line <= self.edge_height:
            words = "the second bevel has to end under the grind line, which is {} from the edge; given {}"
            return Fault("edge_height", say(words, mm(line), up_to))
        main = float(self.angle_of(lines).max())
        if self.edge_angle <= main:
            words = "the second bevel has to be steeper than the main one, which is ground at {}; given {}"
            return Fault("edge_angle", say(words, f"{main:.3g}°", angle))
        return None

    def lowered(self, share: float, line: float) -> Self:
        """See `Bevel.lowered`: the whole section is drawn together towards the edge, so that metal only ever goes."""
        steeper = float(np.degrees(np.arctan(self._edge_slope / share)))
        drawn = {"edge_height": self.edge_height * share, "edge_angle": steeper}
        return super().lowered(share, line).model_copy(update=drawn)

    def words(self, units: Units) -> str:
        """See `Bevel.words`."""
        up_to = units.length(self.edge_height, form="g")
        return f"{super().words(units)}, and at {self.edge_angle:g}° a side from the edge up to {up_to}"
