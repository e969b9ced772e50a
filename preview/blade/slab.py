"""The flat bar taken for a blade: its whole face, as it is milled, before anything is cut out of it."""

from __future__ import annotations

from typing import Self

import numpy as np
from pydantic import model_validator

from preview.base.arrays import Array
from preview.blade.blade import Blade, Placement
from preview.blade.grind import Grind
from preview.blade.grinds import AnyBevel, Unground
from preview.blade.outlines.base import Outline
from preview.forging.bar import Bar


class Slab(Outline):
    """The bar's own rectangle; no job file names it."""

    shape: str = "bar"

    def edge(self, along: Array) -> Array:
        """See `Outline.edge`."""
        return np.zeros_like(np.asarray(along, dtype=float))

    def spine(self, along: Array) -> Array:
        """See `Outline.spine`."""
        return np.full_like(np.asarray(along, dtype=float), self.height)

    def edge_distance(self, along: Array, across: Array) -> Array:
        """See `Outline.edge_distance`: the edge is straight."""
        along = np.asarray(along, dtype=float)
        return np.asarray(np.hypot(np.clip(along, 0, self.length) - along, across))


class Milled(Grind):
    """No grind: both faces as they are milled."""

    right: AnyBevel = Unground()

    @model_validator(mode="after")
    def _something_ground(self) -> Self:
        return self


def whole_bar(bar: Bar) -> Blade:
    """Return the blade that is all of ``bar``."""
    return Blade(outline=Slab(length=bar.length, height=bar.width), placement=Placement(heel=0.0, edge=0.0))
