"""A face that is not ground."""

from __future__ import annotations

from typing import ClassVar, Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Units
from preview.blade.grinds.base import Bevel, BevelLines


class Unground(Bevel):
    """Nothing is ground here, which makes the other face a single bevel."""

    kind: Literal["none"] = "none"
    title: ClassVar[str] = "unground"

    def stand(self, lines: BevelLines, distance: Array) -> Array:
        """See `Bevel.stand`."""
        face = lines.face.astype(distance.dtype)
        return np.broadcast_to(face, np.broadcast_shapes(face.shape, distance.shape))

    def words(self, units: Units) -> str:  # noqa: ARG002 - part of the contract
        """See `Bevel.words`."""
        return "left flat"
