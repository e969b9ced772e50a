"""Twisting a square or round bar about its length."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.settings import Control, Number
from preview.base.units import Units, mm, say
from preview.forging.bar import Bar
from preview.forging.steps.base import Step, Triple

SQUARE = 0.15
"""How far width and thickness may differ, as a share of the larger, for a bar still to twist evenly."""


class Twist(Step):
    """Hold the heel end in the vise and turn the tip end by ``turns`` whole turns, evenly along the bar.

    Each section turns in itself; a positive turn carries +across to +through, as seen from the tip. Sections
    neither warp nor shorten in this model, which keeps volume exactly; the bar is squared again by the press
    steps that follow.
    """

    title: ClassVar[str] = "Twist"
    keeps_columns: ClassVar[bool] = False

    step: Literal["twist"] = "twist"
    turns: Annotated[Number, Control("Turns over the bar's length", help="Whole turns from heel to tip.", step=0.25)]

    @classmethod
    def example(cls, before: Bar) -> Self:  # noqa: ARG003 - alike for all
        """See `Step.example`."""
        return cls(turns=1.0)

    def words(self, units: Units) -> str:  # noqa: ARG002 - no sizes in it
        """See `Step.words`."""
        return f"Twist {self.turns:g} turns"

    def refuse(self, before: Bar) -> None:
        """See `Step.refuse`."""
        super().refuse(before)
        small, large = sorted((before.width, before.thickness))
        if self.turns and small < (1 - SQUARE) * large:
            problem = "a twist needs a square or round bar; this one is {}"
            raise JobError.at("turns", say(problem, mm(before.width, before.thickness)))

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; sizes stay, sides are no longer flat."""
        return replace(before, shape="bulged", flat=False) if self.turns else before

    def _turned(self, along: Array, across: Array, through: Array, before: Bar, sense: float) -> Triple:
        angle = (along + before.length / 2) * (sense * 2 * np.pi * self.turns / before.length)
        cosine, sine = np.cos(angle), np.sin(angle)
        return along, across * cosine - through * sine, across * sine + through * cosine

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`."""
        return self._turned(along, across, through, before, 1.0)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        return self._turned(along, across, through, before, -1.0)
