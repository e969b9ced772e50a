"""A flat grind."""

from __future__ import annotations

from typing import ClassVar, Literal

from preview.base.arrays import Array
from preview.blade.grinds.base import BevelLines, GroundBevel


class Flat(GroundBevel):
    """A plane from the edge to the grind line."""

    kind: Literal["flat"] = "flat"
    title: ClassVar[str] = "flat grind"

    def surface(self, lines: BevelLines, distance: Array) -> Array:
        """See `GroundBevel.surface`."""
        number = distance.dtype.type
        slope = (lines.face - lines.foot) / lines.height
        ground = distance * slope.astype(number)
        ground += lines.foot.astype(number)
        return ground
