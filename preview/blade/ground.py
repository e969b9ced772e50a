"""The ground blade: where its faces stand, once the grind is taken off its outline and thickness."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np

from preview.base.arrays import Array
from preview.blade.blade import Blade
from preview.blade.grind import SIDES, Grind, Side
from preview.blade.grinds import Bevel, BevelLines
from preview.forging.bar import Bar

LOWEST = 0.25
"""Share of its greatest height under which a bevel is hardly ever ground (common practice, no published source)."""

FINE = 5
"""Decimals of what is reckoned from a height or an angle that was set: a hundredth of a degree is some 0.02 mm high."""


@dataclass(frozen=True)
class Ground:
    """A blade, its grind, and the bar it is ground out of; places are in the blade frame, mm."""

    blade: Blade
    grind: Grind
    bar: Bar

    def bevel(self, side: Side, along: Array) -> BevelLines:
        """Return the bevel of one face at stations ``along`` (mm)."""
        along = np.asarray(along, dtype=float)
        return self.grind.lines(side, along, self.unground(along), self.blade.outline.height, self.heel_flat)

    def alike(self, side: Side) -> Side:
        """Return the face that stands for one: the right one for both where each is ground as the other's mirror."""
        centred = self.blade.placement.mid_plane == 0 and self.grind.edge_offset == 0
        return "right" if centred and self.grind.bevel("left") == self.grind.right else side

    @property
    def heel_flat(self) -> float:
        """Where the bevels begin to run in, mm from the heel: at the ricasso's end, or as the grind says."""
        return self.blade.outline.ricasso_length or self.grind.heel_flat

    @property
    def plunge(self) -> tuple[float, float] | None:
        """Where the bevels begin to run in and where they are whole, mm from the heel; None if they are at the heel."""
        flat = self.heel_flat
        return (flat, flat + self.grind.plunge) if flat else None

    def unground(self, along: Array) -> Array:
        """Return the thickness (mm) before the bevels are ground at stations ``along`` (mm)."""
        return self.blade.thickness_at(along, self.bar)

    def stand(self, side: Side, along: Array, across: Array, distance: Array | None = None) -> Array:
        """Return where a ground face stands, mm from the blade's mid-plane, outwards.

        Parameters
        ----------
        side
            Which face.
        along, across
            Places, mm, shapes ``(1, columns)`` and ``(rows, 1)`` or anything broadcastable.
        distance
            Their distance to the edge curve, mm, where it is known already; its dtype is that of the result.
        """
        if distance is None:
            distance = self.blade.outline.edge_distance(along, across)
        stand = self.bevel(side, along).stand(distance)
        if self.bar.shape in {"wedge", "tapered"}:
            forged = self.bar.thickness_at(*self.blade.in_plan(along, across, self.bar)) / 2
            off = self.blade.placement.mid_plane
            stand = np.minimum(stand, (forged - off if side == "right" else forged + off).astype(distance.dtype))
        return stand

    def at_spine(self, along: Array) -> Array:
        """Return how thick the ground blade is at its spine at stations ``along`` (mm); 0 where no steel is left."""
        spine = self.blade.outline.spine(along)
        return np.maximum(sum(self.stand(side, along, spine) for side in SIDES), 0.0)

    def mid_grind(self, side: Side, bevel: Bevel) -> tuple[float, float]:
        """Return height (mm, no more than the blade's) and angle (degrees) at mid-length, were ``side`` ground so."""
        ground = replace(self, grind=self.grind.model_copy(update={side: bevel}))
        lines = ground.bevel(side, np.array([self.blade.outline.length / 2]))
        return min(float(lines.height[0]), self.blade.outline.height), float(lines.angle[0])

    def other_way(self, side: Side, bevel: Bevel, name: str, value: float) -> float:
        """Return a bevel's angle (degrees) at mid-length where its ``height`` is ``value``, or its height (mm).

        Height and angle are two names of one thing; ``name`` is the one that is known. It is told fine enough for that
        one to come out of it again as it was said.
        """
        if name == "height":
            return round(self.mid_grind(side, bevel.at_height(value))[1], FINE)
        return round(self.mid_grind(side, bevel.at_angle(value))[0], FINE)

    def worth_trying(
        self, side: Side, bevel: Bevel, held: str, least: float | None, most: float | None
    ) -> dict[str, tuple[float, float]]:
        """Return from where to where a bevel's height (mm) and angle (degrees) at mid-length are worth trying.

        That is from the greatest height that can be had down to `LOWEST` of it, and the angles of these.

        Parameters
        ----------
        side, bevel
            Which face, and how it is ground.
        held
            Which of the two is set, ``height`` or ``angle``.
        least, most
            What that may be, where something sets a bound.
        """

        def height_at(bound: float | None, otherwise: float) -> float:
            if bound is None:
                return otherwise
            return bound if held == "height" else _inside(self.other_way(side, bevel, held, bound), floor)

        low, high = (least, most) if held == "height" else (most, least)
        top = min(height_at(high, self.blade.outline.height), self.blade.outline.height)
        heights = round(max(height_at(low, 0.0), LOWEST * top), 1), top
        flat, steep = (self.other_way(side, bevel, "height", height) for height in reversed(heights))
        ends = {"height": heights, "angle": (_inside(flat, ceil), round(steep, 2))}
        first, last = ends[held]
        ends[held] = max(first, first if least is None else least), min(last, last if most is None else most)
        return ends

    def mid_bevel(self) -> tuple[float, float]:
        """Return a place at mid-length, half way up the right face's bevel: along, across, mm."""
        outline = self.blade.outline
        along = outline.length / 2
        edge, spine = (float(curve(np.array(along))) for curve in (outline.edge, outline.spine))
        height = float(self.bevel("right", np.array([along])).height[0])
        return along, edge + min(height, spine - edge) / 2


def _inside(end: float, way: Callable[[float], int]) -> float:
    """Return an end of a slider (mm or degrees), to hundredths, ``way`` being that away from what bounds it.

    Examples
    --------
    >>> _inside(21.376, floor), _inside(4.931, ceil)
    (21.37, 4.94)
    """
    return way(round(100 * end, 3)) / 100
