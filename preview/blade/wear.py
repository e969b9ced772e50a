"""An edge sharpened back over the years: how far, at each station along the blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.blade.ground import Ground


@dataclass(frozen=True)
class Wear:
    """What sharpening has taken off the edge.

    Parameters
    ----------
    back
        How far the edge has gone back, square to itself, mm.
    plunge
        Where (mm from the heel) the edge begins to be ground, and where it is ground to the full; the stones do not
        come nearer to the heel.
    """

    back: float
    plunge: tuple[float, float]

    @classmethod
    def of(cls, ground: Ground, back: float) -> Wear:
        """Return what it is on a blade once ``back`` mm are gone."""
        return cls(back, ground.plunge or (0.0, 0.0))

    def at(self, along: Array) -> Array:
        """Return how far (mm) the edge has gone back at stations ``along`` (mm): bit by bit through the plunge."""
        begins, whole = self.plunge
        if whole <= 0:
            return np.full_like(along, self.back)
        share = np.clip((along - begins) / max(whole - begins, 1e-9), 0, 1)
        return np.asarray(self.back * share * share * (3 - 2 * share))
