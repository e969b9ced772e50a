"""What tells how large a photographed thing is: two places of known distance, on a ruler or anything else."""

from __future__ import annotations

from typing import Annotated, Self

import numpy as np
from pydantic import model_validator

from preview.base.arrays import Array
from preview.base.settings import Control, PositiveLength, Settings, Share

Place = tuple[Share, Share]
"""Rightwards and downwards, in shares of the photograph's width and height."""

NEAREST = 0.02
"""Share of the photograph's longer side that the two places lie apart at least; nearer ones tell nothing sure."""


class Ruler(Settings):
    """Two places on a photograph that lie a known length apart, on a ruler or anything else.

    Parameters
    ----------
    first, second
        The places.
    apart
        How far they are apart, mm.
    """

    first: Annotated[Place, Control("First mark", ends=("across", "down"))]
    second: Annotated[Place, Control("Second mark", ends=("across", "down"))]
    apart: Annotated[
        PositiveLength, Control("Between the marks", "mm", "What the ruler says from the one to the other.", step=0.5)
    ]

    @model_validator(mode="after")
    def _check(self) -> Self:
        if np.hypot(*np.subtract(self.first, self.second)) < NEAREST:
            msg = f"first and second have to lie apart on the photograph; given {self.first} and {self.second}"
            raise ValueError(msg)
        return self

    @property
    def places(self) -> Array:
        """Both places, ``(2, 2)``."""
        return np.array([self.first, self.second])
