"""Quarter turns about the bar's length."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.settings import Count
from preview.forging.bar import Bar
from preview.forging.steps.base import PrismaticStep, refuse_shaped


def turned(across: Array, through: Array, quarters: int) -> tuple[Array, Array]:
    """Turn section points by quarter turns; a positive one carries +across to +through."""
    match quarters % 4:
        case 0:
            return across, through
        case 1:
            return -through, across
        case 2:
            return -across, -through
        case _:
            return through, -across


class Turn(PrismaticStep):
    """Roll the bar on the anvil by ``quarters`` quarter turns; one carries the +across side up to +through."""

    step: Literal["turn"] = "turn"
    quarters: Count = 1

    def after(self, before: Bar) -> Bar:
        """See `Step.after`; width and thickness change places on odd turns."""
        refuse_shaped("turn", before, "wedge", "tapered")
        if self.quarters % 2:
            return replace(before, width=before.thickness, thickness=before.width)
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
