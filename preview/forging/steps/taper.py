"""Distal taper forged in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, PositiveLength
from preview.base.units import Units
from preview.forging.bar import Bar, Shape
from preview.forging.squeeze import Squeeze, drawn_down
from preview.forging.steps.base import Step, Triple, less


class Taper(Step):
    """Draw the bar out towards the tip so that thickness and width fall evenly to the tip's sizes.

    Plane sections stay plane and shrink in themselves about the bar's centre line. With a(x) the section's
    area over the old one, material found at x came from X = integral of a from the heel: volume is kept.
    """

    title: ClassVar[str] = "Forge a taper"
    unlike: ClassVar[tuple[Shape, ...]] = ("tapered",)

    step: Literal["taper"] = "taper"
    tip_thickness: Annotated[PositiveLength, Control("Thickness at the tip", "mm", "At the tip, cold.", least=0.1)]
    tip_width: Annotated[
        PositiveLength | None,
        Control("Width at the tip", "mm", "At the tip, cold.", least=0.1, offer="Narrower at the tip too", start=20.0),
    ] = None

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(tip_thickness=min(3.0, less(before.thickness)))

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        narrow = f", {units.length(self.tip_width, form='g')} wide" if self.tip_width else ""
        return f"Draw the tip out to {units.length(self.tip_thickness, form='g')} thick{narrow}"

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.squeezes`: those at the tip, which asks for the most, along its half of the bar."""
        return drawn_down(before.thickness, self.tip_thickness, before.width, self.result(before).length / 2)

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`."""
        yield Limit("tip_thickness", self.tip_thickness, before.thickness, "this bar's thickness")
        if self.tip_width is not None:
            yield Limit("tip_width", self.tip_width, before.width, "this bar's width")

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; the bar grows longer by what the tip gives up."""
        p, q = self._losses(before)
        return replace(
            before,
            length=before.length / (1 - (p + q) / 2 + p * q / 3),
            shape="tapered",
            tip_thickness=self.tip_thickness,
            tip_width=self.tip_width or before.width,
        )

    def _losses(self, before: Bar) -> tuple[float, float]:
        """Return the shares of thickness and of width that the tip loses."""
        return 1 - self.tip_thickness / before.thickness, 1 - (self.tip_width or before.width) / before.width

    def depth(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `Step.depth`; beyond the ends the shrinking sections would come to nothing."""
        return np.asarray(self.after(before).length / 2 - np.abs(along))

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`; the cubic X(x) is monotone and is solved by Newton's method."""
        p, q = self._losses(before)
        length = self.after(before).length
        goal = (np.asarray(along) + before.length / 2) / length
        s = np.array(goal)
        for _ in range(60):
            area = (1 - p * s) * (1 - q * s)
            change = (s - (p + q) * s**2 / 2 + p * q * s**3 / 3 - goal) / area
            s = np.where(np.isnan(change), np.nan, np.clip(s - change, -1.0, 1.0 + 1e-9))
            if np.fmax.reduce(np.abs(change), axis=None, initial=0.0) < 1e-15:
                break
        return (s - 0.5) * length, across * (1 - q * s), through * (1 - p * s)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        p, q = self._losses(before)
        length = self.after(before).length
        s = np.asarray(along) / length + 0.5
        position = (s - (p + q) * s**2 / 2 + p * q * s**3 / 3) * length
        return position - before.length / 2, across / (1 - q * s), through / (1 - p * s)
