"""The blade's outline: edge curve and spine curve, in the blade frame.

``along`` runs from the heel (0) to the tip, ``across`` from the edge's baseline (0) to the spine, in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.settings import Control, PositiveLength, Settings

OutlineName = Literal["straight back", "drop point", "clip point", "spear", "sheepsfoot"]


@dataclass(frozen=True)
class _Form:
    """Shares that make an outline: tip height of the height; belly and point of the length; spine's bend."""

    tip: float
    belly: float
    point: float
    bend: float  # +1: the spine drops ever faster towards the tip; -1: ever slower (a clip); 0: not at all


_FORMS: dict[str, _Form] = {
    "straight back": _Form(tip=1.0, belly=0.5, point=0.3, bend=0.0),
    "drop point": _Form(tip=0.55, belly=0.5, point=0.45, bend=1.0),
    "clip point": _Form(tip=0.42, belly=0.4, point=0.35, bend=-0.6),
    "spear": _Form(tip=0.5, belly=0.4, point=0.4, bend=1.0),
    "sheepsfoot": _Form(tip=0.0, belly=0.3, point=0.22, bend=1.0),
}


class Outline(Settings):
    """A blade outline by its trade name, with its length and height at the heel in mm.

    ``belly`` is the length of edge that curves up to the tip, ``point`` the length of spine that comes down
    to it; both have a usual share of the length where they are left out.
    """

    shape: Annotated[OutlineName, Control("Outline", help="The profile, by its trade name.")] = "drop point"
    length: Annotated[PositiveLength, Control("Blade length", "mm", "Heel to tip, without the tang.", least=1.0)] = (
        180.0
    )
    height: Annotated[PositiveLength, Control("Blade height", "mm", "Edge to spine at the heel.", least=1.0)] = 36.0
    belly: PositiveLength | None = None
    point: PositiveLength | None = None

    @property
    def _form(self) -> _Form:
        return _FORMS[self.shape]

    @property
    def belly_length(self) -> float:
        """Length of the curved edge before the tip, in mm."""
        return min(self.belly or self._form.belly * self.length, self.length)

    @property
    def point_length(self) -> float:
        """Length of the shaped spine before the tip, in mm."""
        return min(self.point or self._form.point * self.length, self.length)

    @property
    def tip(self) -> tuple[float, float]:
        """The tip's ``along`` and ``across``, in mm."""
        return (self.length, self._form.tip * self.height)

    def edge(self, along: Array) -> Array:
        """Return ``across`` (mm) of the edge at positions ``along`` (mm)."""
        s = np.clip((along - self.length) / self.belly_length + 1, 0, 1)
        return np.asarray(self.tip[1] * s * s * (0.6 + 0.4 * s))

    def _edge_slopes(self, along: Array) -> tuple[Array, Array]:
        """Return the edge's first and second derivative; past the tip as at the tip."""
        s = np.clip((along - self.length) / self.belly_length + 1, 0, 1)
        rise = self.tip[1] / self.belly_length
        return rise * s * (1.2 + 1.2 * s), rise / self.belly_length * (1.2 + 2.4 * s) * (s > 0)

    def spine(self, along: Array) -> Array:
        """Return ``across`` (mm) of the spine at positions ``along`` (mm)."""
        s = np.clip((along - self.length) / self.point_length + 1, 0, 1)
        bend = self._form.bend
        share = s * s if bend > 0 else s * (1 + bend * (s - 1))
        return np.asarray(self.height - (self.height - self.tip[1]) * share)

    def contains(self, along: Array, across: Array) -> Mask:
        """Say which points (broadcastable arrays, mm, blade frame) lie inside the outline."""
        inside = (along >= 0) & (along <= self.length)
        return np.asarray(inside & (across >= self.edge(along)) & (across <= self.spine(along)))

    def edge_distance(self, along: Array, across: Array) -> Array:
        """Return the distance (mm) of points inside the outline to the edge curve.

        The foot of the perpendicular is found by Newton's method on the curve; the belly's radius of
        curvature is larger than the blade is high, so that it is the only one.
        """
        along, across = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(across, dtype=float))
        foot = np.array(along)
        for _ in range(12):
            gap = self.edge(foot) - across
            slope, bend = self._edge_slopes(foot)
            curvature = np.maximum(1 + slope * slope + gap * bend, 0.3)
            step = (foot - along + gap * slope) / curvature
            foot = np.clip(foot - step, 0, self.length)
            if np.fmax.reduce(np.abs(step), axis=None, initial=0.0) < 1e-9:
                break
        return np.asarray(np.hypot(foot - along, self.edge(foot) - across))
