"""Slices of a bar, laid with their end grain to the face and welded side by side."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, NonNegativeLength, PositiveLength
from preview.base.units import Units
from preview.forging.bar import SKIN, Bar
from preview.forging.steps.base import Step, Triple, less


class Tile(Step):
    """Cut slices of ``slice`` mm across the bar, losing ``kerf`` mm between them, and weld them into a new bar.

    Each slice is turned about the across direction so that its tip-side cut becomes the upper face and its lower
    side looks to the tip; the slices lie heel first. So along becomes through, through becomes along, and the
    new bar is as thick as a slice. What the bar has left after the last whole slice is not used. A band saw's kerf is
    some 1.5 mm (common practice, no published source).
    """

    title: ClassVar[str] = "Cut and tile"
    keeps_columns: ClassVar[bool] = False

    step: Literal["tile"] = "tile"
    slice: Annotated[
        PositiveLength,
        Control(
            "Slice thickness", "mm",
            "As thick as the new bar is to be. Slices are laid end grain to the face, heel first, and welded side by "
            "side.",
            least=0.1,
        ),
    ]  # fmt: skip
    kerf: Annotated[NonNegativeLength, Control("Lost in each cut", "mm", "What the saw eats.", least=0.0)] = 1.5

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(slice=min(8.0, less(before.length)))

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        return f"Cut slices of {units.length(self.slice, form='g')}, weld them end grain to the face"

    def count(self, before: Bar) -> int:
        """Return how many whole slices the bar gives."""
        return floor((before.length + self.kerf + SKIN) / (self.slice + self.kerf))

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`; one whole slice is the least."""
        yield Limit("slice", self.slice, before.length, "this bar's length")

    def result(self, before: Bar) -> Bar:
        """See `Step.result`."""
        return Bar(self.count(before) * before.thickness, before.width, self.slice, shape=before.shape)

    def joints(self, before: Bar) -> Array:
        """See `Step.joints`: the welds between the slices."""
        count = self.count(before)
        return (np.arange(1, count) - count / 2) * before.thickness

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`; NaN for the metal of the kerfs and of the rest."""
        from_heel = along + before.length / 2
        number = np.floor(from_heel / (self.slice + self.kerf))
        up = from_heel - number * (self.slice + self.kerf) - self.slice / 2
        kept = (np.abs(up) <= self.slice / 2 + SKIN) & (number < self.count(before)) & (number >= 0)
        place = (number + 0.5 - self.count(before) / 2) * before.thickness - through
        return place, across, np.where(kept, up, np.nan)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        count = self.count(before)
        number = np.clip(np.floor(along / before.thickness + count / 2), 0, count - 1)
        lower = (number + 0.5 - count / 2) * before.thickness - along
        middle = number * (self.slice + self.kerf) + (self.slice / 2 - before.length / 2)
        return through + middle, across, lower

    def depth(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `Step.depth`; a slice has nothing to give beyond its own cuts."""
        return np.minimum(self.slice / 2 - np.abs(through), self.after(before).length / 2 - np.abs(along))
