"""Loose fill to full density."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import ceil, exp, log
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import model_validator

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.settings import Control, Settings, Share
from preview.base.units import Units
from preview.forging.bar import Bar
from preview.forging.squeeze import DRY, FREE_BITE, Squeeze
from preview.forging.steps.base import Step, Triple

LEAST_STRAIN = 1e-6
"""Logarithmic strain that counts as none: the last digits of a sum."""

SMALL_BITE = 0.12
"""Logarithmic strain of one pass while the powder is set: small ones, so that the can does not split (common practice,
no published source)."""

_Move = Callable[[Array, float, float, float], Array]


class Shares(Settings):
    """How the settling of the fill is shared between the three directions; the shares add up to 1.

    All of it ``through`` is a can squeezed flat under the press; 0, 0.5, 0.5 one hammered square; a third
    each one squeezed evenly from all sides.
    """

    along: Annotated[
        Share, Control("Along", help="Share of the settling that shortens the can.", least=0.0, most=1.0, step=0.05)
    ] = 0.0
    across: Annotated[Share, Control("Across", help="Share that narrows it.", least=0.0, most=1.0, step=0.05)] = 0.0
    through: Annotated[
        Share,
        Control(
            "Through", help="Share that flattens it: 1 under a press with a stiff can.", least=0.0, most=1.0, step=0.05
        ),
    ] = 1.0

    @model_validator(mode="after")
    def _whole(self) -> Self:
        total = self.along + self.across + self.through
        if abs(total - 1) > 1e-9:
            msg = f"the three shares have to add up to 1; they add up to {total:g}"
            raise ValueError(msg)
        return self


class Consolidate(Step):
    """Weld and squeeze the powder to full density.

    Each inside size s of the can becomes s * rho**share, with rho the fill's relative density, so that the
    inside volume falls to rho times what it was: the mass balance of powder that cannot leave the can. The
    can wall keeps its thickness. Where the wall runs along a shrinking side it folds; that is not modelled
    and is milled off with the shell, and `volume_ratio` states there what the map does.
    """

    title: ClassVar[str] = "Consolidate the powder"
    welds: ClassVar[bool] = True

    step: Literal["consolidate"] = "consolidate"
    shares: Annotated[Shares, Control("Shares", help="How the settling is shared; the three add up to 1.")] = Shares()

    @classmethod
    def example(cls, before: Bar) -> Self:  # noqa: ARG003 - alike for all
        """See `Step.example`."""
        return cls()

    def words(self, units: Units) -> str:  # noqa: ARG002 - no sizes in it
        """See `Step.words`."""
        return "Weld and squeeze the powder solid"

    def settled(self, along: float, across: float) -> Self:
        """See `Step.settled`; a share below 0 is a can that bulges that way."""
        shares = self.shares
        moved = {
            "along": shares.along + along, "across": shares.across + across,
            "through": shares.through - along - across,
        }  # fmt: skip
        return self.model_copy(update={"shares": shares.model_copy(update=moved)})

    def _factors(self, before: Bar) -> tuple[float, float, float]:
        shares = (self.shares.along, self.shares.across, self.shares.through)
        along, across, through = (before.density**share for share in shares)
        return along, across, through

    def refuse(self, before: Bar) -> None:
        """See `Step.refuse`."""
        if before.density >= 1:
            raise JobError.at("step", "the filling is solid already: there is nothing left to consolidate")

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; the bar is solid, its walls as thick as before."""
        wall = 2 * before.wall
        length, width, thickness = (
            (size - wall) * factor + wall for size, factor in zip(before.size, self._factors(before), strict=True)
        )
        return replace(before, length=length, width=width, thickness=thickness, density=1.0)

    @staticmethod
    def _squeeze(position: Array, size: float, wall: float, factor: float) -> Array:
        if factor == 1:
            return position
        inner = size / 2 - wall
        core = np.clip(position, -inner, inner)
        return np.asarray(core * factor + (position - core))

    @staticmethod
    def _swell(position: Array, size: float, wall: float, factor: float) -> Array:
        if factor == 1:
            return position
        inner = (size / 2 - wall) * factor
        core = np.clip(position, -inner, inner)
        return np.asarray(core / factor + (position - core))

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.squeezes`: small bites, on the flat and, where it narrows too, on edge (common practice).

        At the end of each pass the fill counts as solid, which it is of the last one only: that asks for the most.
        """
        after = self.result(before)
        flat, edge = log(before.thickness / after.thickness), log(before.width / after.width)
        rounds = max(ceil(max(flat, edge) / SMALL_BITE), 1)
        found, (length, width, height) = [], before.size
        for share in (number / rounds for number in range(1, rounds + 1)):
            length = before.length * (after.length / before.length) ** share
            lower, narrower = before.thickness * exp(-flat * share), before.width * exp(-edge * share)
            if flat > LEAST_STRAIN:
                found.append(Squeeze(height, lower, width, length, FREE_BITE, DRY, own_bite=False))
            if edge > LEAST_STRAIN:
                found.append(Squeeze(width, narrower, lower, length, FREE_BITE, DRY, turned=True, own_bite=False))
            width, height = narrower, lower
        return tuple(found)

    def turned_often(self) -> Self:
        """See `Step.turned_often`: the settling then goes half through and half across."""
        return self.model_copy(update={"shares": Shares(along=0.0, across=0.5, through=0.5)})

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`."""
        return self._each_axis(self._squeeze, along, across, through, before)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        return self._each_axis(self._swell, along, across, through, before)

    def _each_axis(self, move: _Move, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        length, width, thickness = before.size
        on_length, on_width, on_thickness = self._factors(before)
        return (
            move(along, length, before.wall, on_length),
            move(across, width, before.wall, on_width),
            move(through, thickness, before.wall, on_thickness),
        )

    def volume_ratio(self, points: Array, before: Bar) -> Array:
        """See `Step.volume_ratio`: rho in the fill; over a wall only the directions that run along it shrink."""
        inner = np.array(before.size) / 2 - before.wall
        in_fill = np.abs(points) <= inner
        return np.asarray(np.where(in_fill, np.array(self._factors(before)), 1.0).prod(axis=-1))
