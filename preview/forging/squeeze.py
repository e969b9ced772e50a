"""What a step asks of a press or hammer: one pass of the dies along the bar."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, log

DRY = 0.7
"""Friction factor of dry dies, 0.6 to 1 (from memory)."""

FREE_STRAIN, FREE_BITE = 0.3, 25.0
"""Logarithmic strain of one pass, and bite (mm), where the work leaves both open: a quarter down at a time, the usual
narrow die (common practice, no published source)."""


@dataclass(frozen=True)
class Squeeze:
    """One pass of the dies along the bar, sizes in mm, cold.

    Parameters
    ----------
    h0, h1
        Between the dies before and after it.
    width, length
        The bar across the dies and along the feed, after it.
    bite
        How much of the length lies between the dies in one closing.
    friction
        Friction factor of the dies.
    turned
        Whether the bar stands on its edge.
    own_bite
        Whether the work asks for just this bite; else any that is narrower will do.
    """

    h0: float
    h1: float
    width: float
    length: float
    bite: float
    friction: float
    turned: bool = False
    own_bite: bool = True

    @property
    def strain(self) -> float:
        """Logarithmic strain in height."""
        return log(self.h0 / self.h1)

    @property
    def before(self) -> tuple[float, float, float]:
        """The bar's length, width and thickness before it; as much shorter and narrower as it is higher."""
        share = (self.h1 / self.h0) ** 0.5
        return self.length * share, self.width * share, self.h0

    @property
    def bites(self) -> int:
        """How many bites, laid end to end, the bar is long."""
        return ceil(self.length / self.bite - 1e-9)

    def in_bites(self, bite: float) -> Squeeze:
        """Return the same pass in other bites, mm; the bar's sizes stay as they are."""
        return replace(self, bite=bite)

    def only_to(self, height: float) -> Squeeze:
        """Return the pass ended at ``height`` (mm) instead; the bar is as much narrower as it is shorter."""
        share = (self.h1 / height) ** 0.5
        return replace(self, h1=height, width=self.width * share, length=self.length * share)


def drawn_down(h0: float, h1: float, width: float, length: float) -> tuple[Squeeze, ...]:
    """Return the passes that draw a part of the bar down freely from ``h0`` to ``h1``; sizes (mm) as of a `Squeeze`."""
    if h1 >= h0:
        return ()
    passes = ceil(log(h0 / h1) / FREE_STRAIN)
    heights = [h0 * (h1 / h0) ** (number / passes) for number in range(passes + 1)]
    return tuple(
        Squeeze(above, below, width, length, FREE_BITE, DRY, own_bite=False) for above, below in pairwise(heights)
    )
