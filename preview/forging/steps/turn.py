"""Quarter turns about the bar's length."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.settings import Control, Count
from preview.base.units import Units
from preview.forging.bar import Bar
from preview.forging.quarter_turns import turned
from preview.forging.steps.base import PrismaticStep


class Turn(PrismaticStep):
    """Roll the bar on the anvil by ``quarters`` quarter turns; one carries the +across side up to +through."""

    title: ClassVar[str] = "Turn the bar"

    step: Literal["turn"] = "turn"
    quarters: Annotated[Count, Control("Quarter turns", help="1 turns the far side up; 2 turns the bar over.")] = 1

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`; a flat bar is turned over, as it does not stand on edge."""
        return cls(quarters=2 if max(before.width, before.thickness) > 2 * min(before.width, before.thickness) else 1)

    def words(self, units: Units) -> str:  # noqa: ARG002 - no sizes in it
        """See `Step.words`."""
        return f"Roll {self.quarters} quarter turn{'s' if abs(self.quarters) != 1 else ''}"

    def refuse(self, before: Bar) -> None:
        """See `Step.refuse`; a can that is still loose is turned like any bar."""
        super().refuse(replace(before, density=1.0))

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; width and thickness change places on odd turns."""
        if self.quarters % 2:
            flat = before.shape == "block"
            return replace(before, width=before.thickness, thickness=before.width, flat=flat)
        return before

    def along_forward(self, along: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `PrismaticStep.along_forward`."""
        return np.asarray(along)

    def along_back(self, along: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `PrismaticStep.along_back`."""
        return np.asarray(along)

    def section_forward(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:  # noqa: ARG002
        """See `PrismaticStep.section_forward`."""
        return turned(across, through, self.quarters)

    def section_back(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:  # noqa: ARG002
        """See `PrismaticStep.section_back`."""
        return turned(across, through, -self.quarters)
