"""Upsetting: the bar pressed on its end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, PositiveLength, Share
from preview.base.units import Sentence, Units, mm, say
from preview.forging.bar import Bar
from preview.forging.squeeze import DRY, Squeeze
from preview.forging.steps.base import PrismaticStep, less

SLENDER = 3.0
"""Length over the least side of the section beyond which a bar struck on its end tends to buckle (common practice;
handbooks of metal forming put the limit at some 2.3 to 2.5 for a single blow, from memory)."""


class Upset(PrismaticStep):
    """Press the bar on its end down to ``length``: it grows wider and thicker by what it loses.

    Plane sections stay plane and the strain is the same everywhere (no barrelling). Of the strain eps = ln(l0/l1)
    the ``share`` goes to width, the rest to thickness, so that volume is kept exactly.
    """

    title: ClassVar[str] = "Upset"
    by_length: ClassVar[bool] = True

    step: Literal["upset"] = "upset"
    length: Annotated[PositiveLength, Control("Length after", "mm", "The bar's length it is pressed to.", least=0.1)]
    share: Annotated[
        Share,
        Control(
            "How much goes to width, 0 to 1",
            help="0: it only grows thicker; 1: only wider.",
            least=0.0,
            most=1.0,
            step=0.05,
        ),
    ] = 0.5

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(length=less(before.length))

    def again(self, before: Bar) -> Self:
        """See `Step.again`; a little shorter."""
        return self.model_copy(update={"length": less(before.length)})

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        return f"Press on its end to a length of {units.length(self.length, form='g')}"

    def notes(self, before: Bar) -> tuple[Sentence, ...]:
        """See `Step.notes`: a bar so slender that it bends instead."""
        least = min(before.width, before.thickness)
        if before.length <= SLENDER * least:
            return ()
        problem = (
            "a bar {} long and only {} in its least side tends to buckle when it is pressed on its end; up to "
            f"{SLENDER:g} times that side is common practice, in one blow less."
        )
        return (say(problem, mm(before.length), mm(least)),)

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.squeezes`: the whole end in one closing."""
        after = self.result(before)
        return (Squeeze(before.length, self.length, after.width, after.thickness, after.thickness, DRY),)

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`; no shorter than it is wide or thick then: that would be a disc, and no bar.

        A side s that takes the share k of the strain grows to s (l0/l1)**k, which is l1 at l1**(1 + k) = s l0**k.
        """
        yield Limit("length", self.length, before.length, "this bar's length", open=True)
        sides = ((before.width, self.share), (before.thickness, 1 - self.share))
        least = min((side * before.length**share) ** (1 / (1 + share)) for side, share in sides)
        if least < before.length:
            disc = say("Any shorter it would be wider or thicker than it is long")
            yield Limit("length", self.length, least, "this bar's section", most=False, instead=disc)

    def result(self, before: Bar) -> Bar:
        """See `Step.result`."""
        wider, thicker = self._growth(before)
        return replace(before, length=self.length, width=before.width * wider, thickness=before.thickness * thicker)

    def _growth(self, before: Bar) -> tuple[float, float]:
        """Return how many times wider and thicker the bar becomes."""
        shorter = before.length / self.length
        return shorter**self.share, shorter ** (1 - self.share)

    def along_forward(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_forward`."""
        return np.asarray(along * (self.length / before.length))

    def along_back(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_back`."""
        return np.asarray(along * (before.length / self.length))

    def section_forward(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_forward`."""
        wider, thicker = self._growth(before)
        return across * wider, through * thicker

    def section_back(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_back`."""
        wider, thicker = self._growth(before)
        return across / wider, through / thicker
