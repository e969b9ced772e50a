"""Milling off shell, scale and folded skin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, NonNegativeLength
from preview.base.units import Units
from preview.forging.bar import Bar
from preview.forging.steps.base import Step, Triple

LEFT = 0.5
"""Metal (mm) that milling leaves at least, across whatever it mills."""

Amounts = NonNegativeLength | tuple[NonNegativeLength, NonNegativeLength]


def _pair(amounts: Amounts) -> tuple[float, float]:
    return amounts if isinstance(amounts, tuple) else (amounts, amounts)


class Trim(Step):
    """Mill off the outside. No material moves; the bar's frame moves to the new centre.

    Each amount is in mm off both of a pair of faces, or [low, high] for one each: ``faces`` [-through,
    +through], ``sides`` [-across, +across] (edge side, spine side), ``ends`` [-along, +along] (heel, tip).
    """

    title: ClassVar[str] = "Mill off"
    mills: ClassVar[bool] = True
    cold: ClassVar[bool] = True

    step: Literal["trim"] = "trim"
    faces: Annotated[
        Amounts,
        Control(
            "Faces", "mm", "Below: the left face's side. Above: the right face's.",
            least=0.0, step=0.1, ends=("below", "above"),
        ),
    ] = 0.0  # fmt: skip
    sides: Annotated[
        Amounts,
        Control(
            "Sides", "mm", "Shell and folded skin at the bar's edges.", least=0.0, step=0.1, ends=("edge", "spine")
        ),
    ] = 0.0
    ends: Annotated[
        Amounts,
        Control("Ends", "mm", "Shell and fishmouth at the bar's ends.", least=0.0, step=0.1, ends=("heel", "tip")),
    ] = 0.0

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(faces=round(min(0.5, before.thickness / 10), 1))

    def milling_more(self, by: float) -> Self:
        """See `Step.milling_more`."""
        low, high = (round(each + by, 6) for each in _pair(self.faces))
        return self.model_copy(update={"faces": low if low == high else (low, high)})

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        told = []
        for name in ("faces", "sides", "ends"):
            low, high = _pair(getattr(self, name))
            if low == high != 0:
                told.append(f"{name} {units.length(low, form='g')} each")
            elif low != high:
                told.append(f"{name} {units.length(low, high, form='g', between=' and ')}")
        return f"Mill off: {', '.join(told)}" if told else "Mill nothing off"

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`; of unlike amounts their mean counts."""
        for name, size, word in zip(
            ("ends", "sides", "faces"), before.size, ("length", "width", "thickness"), strict=True
        ):
            mean = sum(_pair(getattr(self, name))) / 2
            yield Limit(name, mean, max((size - LEFT) / 2, 0.0), f"this bar's {word}")

    def result(self, before: Bar) -> Bar:
        """See `Step.result`."""
        length, width, thickness = (
            size - sum(_pair(amounts))
            for size, amounts in zip(before.size, (self.ends, self.sides, self.faces), strict=True)
        )
        flat = before.flat or min(_pair(self.faces)) > 0
        return replace(before, length=length, width=width, thickness=thickness, flat=flat)

    def _centre(self) -> tuple[float, float, float]:
        """Return the new centre in the old frame."""
        x, y, z = ((low - high) / 2 for low, high in map(_pair, (self.ends, self.sides, self.faces)))
        return x, y, z

    @staticmethod
    def _depth(position: Array, amounts: Amounts, size: float) -> Array:
        """Return how deep ``position`` (mm, new frame) lies under the milled faces; untouched ones do not count."""
        low, high = _pair(amounts)
        half = (size - low - high) / 2
        under_low = position + half if low else np.asarray(np.inf)
        under_high = half - position if high else np.asarray(np.inf)
        return np.asarray(np.minimum(under_low, under_high))

    def depth(self, along: Array, across: Array, through: Array, before: Bar) -> Array:
        """See `Step.depth`."""
        on_ends = self._depth(along, self.ends, before.length)
        on_sides = self._depth(across, self.sides, before.width)
        return np.minimum(np.minimum(on_ends, on_sides), self._depth(through, self.faces, before.thickness))

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:  # noqa: ARG002
        """See `Step.forward`."""
        x, y, z = self._centre()
        return along - x, across - y, through - z

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:  # noqa: ARG002
        """See `Step.back`."""
        x, y, z = self._centre()
        return along + x, across + y, through + z
