"""How a face is seen: the frame of its picture, and the way between picture and blade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from preview.blade.grind import Side
from preview.blade.outlines import Outline
from preview.face.grid import FaceGrid, face_grid

_Pixels = TypeVar("_Pixels", bound=NDArray[Any])

RIM = 8.0
"""Paper left round the blade in its picture, mm."""


@dataclass(frozen=True)
class View:
    """One face as the viewer sees it: edge down, the tip to the right on the right face, to the left on the left one.

    Parameters
    ----------
    side
        Which face.
    outline
        The blade's outline.
    px_per_mm
        Pixels in a millimetre.
    """

    side: Side
    outline: Outline
    px_per_mm: float

    @property
    def mirrored(self) -> bool:
        """Whether the tip is on the left."""
        return self.side == "left"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the face's picture, mm."""
        return self.outline.length + 2 * RIM, self.outline.height + 2 * RIM

    @property
    def grid(self) -> FaceGrid:
        """The face's pixels, columns from heel to tip."""
        return face_grid(self.outline, self.px_per_mm)

    @property
    def rim(self) -> int:
        """Pixels of paper on each side of the blade."""
        return round(RIM * self.px_per_mm)

    def seen(self, values: _Pixels) -> _Pixels:
        """Return what stands at the face's pixels, ``(rows, columns, ...)`` from heel to tip, as the viewer sees it."""
        return values[:, ::-1] if self.mirrored else values  # type: ignore[return-value]

    def framed(self, values: NDArray[Any], paper: float) -> NDArray[Any]:
        """Return it as the viewer sees it with ``paper`` round it: as large as the face's picture."""
        rim = ((self.rim, self.rim), (self.rim, self.rim)) + ((0, 0),) * (values.ndim - 2)
        return np.pad(self.seen(values), rim, constant_values=paper)

    def to_picture(self, along: float, across: float) -> tuple[float, float]:
        """Return where a place of the blade (mm) lies on the picture: shares of its sides, rightwards and downwards."""
        width, height = self.size
        beside = self.outline.length - along if self.mirrored else along
        return (beside + RIM) / width, 1 - (across + RIM) / height

    def from_picture(self, right: float, down: float) -> tuple[float, float]:
        """Return the place of the blade (along, across, mm) at shares of the picture's sides; undoes `to_picture`."""
        width, height = self.size
        beside = right * width - RIM
        return self.outline.length - beside if self.mirrored else beside, (1 - down) * height - RIM


def scale_for(outline: Outline, width: int) -> float:
    """Return the pixels in a millimetre that make a face's picture ``width`` pixels wide."""
    return width / (outline.length + 2 * RIM)
