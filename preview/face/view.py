"""How a face is seen: the frame of its picture, and the way between picture and blade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array
from preview.blade.blade import Blade
from preview.blade.grind import Side
from preview.blade.handle import Behind, behind_heel
from preview.blade.outlines import Outline
from preview.blade.wear import Wear
from preview.face.grid import FaceGrid, face_grid

_Pixels = TypeVar("_Pixels", bound=NDArray[Any])

RIM = 8.0
"""Paper left round the blade and its tang in a picture, mm."""

BLADE_SHARE = 0.7
"""Least share of a picture's width that the blade takes: a longer handle runs out of the picture (our own choice)."""


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
    handle
        What the picture shows on its tang; see `Blade.handle`.
    wear
        What sharpening has taken off the edge since it was new.
    most_behind
        Most that the picture shows behind the heel, mm; without it, all of a bare tang and what suits of a handle.
    """

    side: Side
    outline: Outline
    px_per_mm: float
    handle: str = "plain"
    wear: Wear | None = None
    most_behind: float | None = None

    @classmethod
    def of(cls, side: Side, blade: Blade, px_per_mm: float) -> Self:
        """Return the view of a blade's face, with the handle that the blade has."""
        return cls(side, blade.outline, px_per_mm, blade.handle)

    @property
    def mirrored(self) -> bool:
        """Whether the tip is on the left."""
        return self.side == "left"

    @property
    def behind(self) -> Behind:
        """What lies behind the heel."""
        return behind_heel(self.outline, self.handle)

    @property
    def shown_behind(self) -> float:
        """How much the picture shows behind the heel, mm: a rim, or as much of a handle as it has room for."""
        whole = self.behind.reach[0] + RIM
        if self.most_behind is not None:
            return min(whole, self.most_behind)
        room = self.outline.length * (1 / BLADE_SHARE - 1) - RIM
        return min(whole, max(room, RIM)) if self.behind.grip.size else whole

    @property
    def paper(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """What the picture shows beyond the face, as the viewer sees it: above and below, left and right, mm."""
        _, low, high = self.behind.reach
        upright = RIM + max(0.0, high - self.outline.height), RIM - min(0.0, low)
        return upright, (RIM, self.shown_behind) if self.mirrored else (self.shown_behind, RIM)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the face's picture, mm."""
        upright, level = self.paper
        return self.outline.length + sum(level), self.outline.height + sum(upright)

    @property
    def grid(self) -> FaceGrid:
        """The face's pixels, columns from heel to tip."""
        return face_grid(self.outline, self.px_per_mm, self.wear)

    @property
    def rim(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """Pixels that the picture has beyond the face's: above and below, left and right."""
        (above, below), (left, right) = self.paper
        scale = self.px_per_mm
        return (round(above * scale), round(below * scale)), (round(left * scale), round(right * scale))

    @property
    def inside(self) -> tuple[slice, slice]:
        """Which rows and columns of the picture are the face's pixels."""
        rows, columns = self.grid.shape
        (above, _), (left, _) = self.rim
        return slice(above, above + rows), slice(left, left + columns)

    def pixels(self, places: Array) -> Array:
        """Return where places of the blade (``(n, 2)``, mm) lie on the picture: pixels from its upper left corner."""
        rows, columns = self.inside
        along, across = np.asarray(places).T * self.px_per_mm
        beside = columns.stop - along if self.mirrored else columns.start + along
        return np.stack([beside, rows.stop - across], axis=1)

    def seen(self, values: _Pixels) -> _Pixels:
        """Return what stands at the face's pixels, ``(rows, columns, ...)`` from heel to tip, as the viewer sees it."""
        return values[:, ::-1] if self.mirrored else values  # type: ignore[return-value]

    def framed(self, values: NDArray[Any], paper: float) -> NDArray[Any]:
        """Return it as the viewer sees it with ``paper`` round it: as large as the face's picture."""
        return np.pad(self.seen(values), self.rim, constant_values=paper)

    def to_picture(self, along: float, across: float) -> tuple[float, float]:
        """Return where a place of the blade (mm) lies on the picture: shares of its sides, rightwards and downwards."""
        width, height = self.size
        (_, below), (left, _) = self.paper
        beside = self.outline.length - along if self.mirrored else along
        return (beside + left) / width, 1 - (across + below) / height

    def from_picture(self, right: float, down: float) -> tuple[float, float]:
        """Return the place of the blade (along, across, mm) at shares of the picture's sides; undoes `to_picture`."""
        width, height = self.size
        (_, below), (left, _) = self.paper
        beside = right * width - left
        return self.outline.length - beside if self.mirrored else beside, (1 - down) * height - below


def scale_for(outline: Outline, width: int) -> float:
    """Return the pixels in a millimetre that make a face's picture ``width`` pixels wide; a handle comes on top."""
    return width / (outline.length + 2 * RIM)
