"""The edge side forged thin before grinding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, PositiveLength
from preview.base.units import Units
from preview.forging.bar import Bar
from preview.forging.squeeze import Squeeze, drawn_down
from preview.forging.steps.base import Step, Triple, less


class ForgeBevel(Step):
    """Forge a wedge from ``edge_thickness`` at the edge up to the full thickness at ``height`` over it.

    All of the strain goes to width, away from the spine, and columns through the bar stay straight. With
    t(y) the new thickness over the old one, material at y from the spine came from Y = integral of t.
    """

    title: ClassVar[str] = "Forge the bevel in"

    step: Literal["forge_bevel"] = "forge_bevel"
    edge_thickness: Annotated[
        PositiveLength, Control("Thickness at the edge", "mm", "At the edge, before grinding.", least=0.1)
    ]
    height: Annotated[
        PositiveLength,
        Control("Height of the wedge", "mm", "From the edge up to where the bar keeps its thickness.", least=0.1),
    ]

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(edge_thickness=min(2.0, less(before.thickness)), height=min(15.0, less(before.width)))

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        thin, high = (units.length(size, form="g") for size in (self.edge_thickness, self.height))
        return f"Forge the edge to {thin}, over {high}"

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.squeezes`: on the wedge, at its mean thickness."""
        mean = (before.thickness + self.edge_thickness) / 2
        return drawn_down(before.thickness, mean, self.height, before.length)

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`; the wedge has to lie within the width that the bar has with it."""
        yield Limit("edge_thickness", self.edge_thickness, before.thickness, "this bar's thickness")
        yield Limit("height", self.height, before.width / (1 - self._loss(before) / 2), "this bar's width")

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; the bar grows wider by what the wedge gives up."""
        width = before.width + self.height * self._loss(before) / 2
        return replace(before, width=width, shape="wedge", edge_thickness=self.edge_thickness, edge_height=self.height)

    def _loss(self, before: Bar) -> float:
        """Return the share of the thickness that the edge loses."""
        return 1 - self.edge_thickness / before.thickness

    def depth(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `Step.depth`; past the edge the wedge would come to nothing."""
        return np.asarray(across + self.after(before).width / 2)

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`."""
        loss, width = self._loss(before), self.after(before).width
        from_spine = before.width / 2 - np.asarray(across)
        into = np.maximum(from_spine - (width - self.height), 0.0)
        # of the two roots of u - loss u**2 / (2 height) = into, the one that vanishes with it
        inside = np.maximum(1 - 2 * loss * into / self.height, 0.0)
        u = 2 * into / (1 + np.sqrt(inside))
        return along, width / 2 - (from_spine - into + u), through * (1 - loss * u / self.height)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        loss, width = self._loss(before), self.after(before).width
        from_spine = width / 2 - np.asarray(across)
        u = np.clip(from_spine - (width - self.height), 0.0, self.height)
        old_across = before.width / 2 - (from_spine - loss * u**2 / (2 * self.height))
        return along, old_across, through / (1 - loss * u / self.height)
