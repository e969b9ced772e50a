"""The contract every outline keeps.

``along`` runs from the heel (0) to the tip, ``across`` from the edge's baseline (0) to the spine, in mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Self

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.base.limits import Limit
from preview.base.settings import Control, PositiveLength, Settings
from preview.base.units import Sentence
from preview.blade.outlines.distance import EdgeLine, followed

FULL = 0.55
"""A tang is a full one where its mean height is more than this share of the blade's (our own choice)."""

EASED = 0.1
"""Radius of the heel's corners in a picture, as a share of the blade's height, as far as there is room beside the tang:
a smith breaks them, though his outline is square (our own choice)."""

MOUTH = 0.25
"""Radius to which the corners of a choil's mouth are eased in a picture, as a share of its half width; likewise."""


def area_behind(tang: Array) -> float:
    """Return the area (mm2) between the heel and a tang as `Outline.tang_polygon` gives it; 0 for none."""
    if not tang.size:
        return 0.0
    along, across = np.concatenate([[(0.0, tang[0, 1])], tang, [(0.0, tang[-1, 1])]]).T
    return float(np.abs(np.dot(along, np.roll(across, -1)) - np.dot(across, np.roll(along, -1))) / 2)


class Outline(Settings):
    """Edge curve and spine curve of a blade, with its length and its height in mm.

    Subclasses give ``shape`` (the name in the job file), `edge` and `spine`; both curves end in the tip. The height
    is that from the baseline to the spine's highest place. What else there is of a blade (ricasso, choil, tang) is
    none unless they say so.
    """

    shape: str
    length: Annotated[
        PositiveLength, Control("Blade length", "mm", "Heel to tip, without the tang.", least=1.0, step=0.5)
    ] = 180.0
    height: Annotated[
        PositiveLength, Control("Blade height", "mm", "Edge to spine at the heel.", least=1.0, step=0.5)
    ] = 36.0

    @property
    def called(self) -> str:
        """What it is called to those who know no job file."""
        return self.shape

    def edge(self, along: Array) -> Array:
        """Return ``across`` (mm) of the edge at positions ``along`` (mm)."""
        raise NotImplementedError

    def spine(self, along: Array) -> Array:
        """Return ``across`` (mm) of the spine at positions ``along`` (mm)."""
        raise NotImplementedError

    @property
    def eased(self) -> tuple[float, float]:
        """Radius of the heel's corners at edge and spine as `rims` has them, mm; 0 without a tang."""
        return _corners(self)

    @property
    def eased_to(self) -> float:
        """How far from the heel `rims` differ from edge and spine, mm."""
        span = self.choil_span
        return max(*self.eased, 0.0 if span is None else span[1] + MOUTH * (span[1] - span[0]) / 2)

    def rims(self, along: Array) -> tuple[Array, Array]:
        """Return ``across`` (mm) of edge and spine as the finished blade has them.

        Eased are the heel's corners before a tang, and those of a choil's mouth.
        """
        along = np.asarray(along, dtype=float)
        lower, upper = self.eased
        edge = self.edge(along) + _rounded(along, lower)
        if self.choil_span is not None:
            begin, end = self.choil_span
            radius = min(MOUTH * (end - begin) / 2, begin)
            off = np.maximum(begin - along, along - end)
            # within the mouth its walls are soon higher than the rounding
            edge = np.maximum(edge, self.edge(np.array(begin)) + _rounded(off, radius) * (off > -radius / 2))
        return edge, self.spine(along) - _rounded(along, upper)

    def bevel_edge(self, along: Array) -> Array:
        """Return ``across`` (mm) of the edge that bevels run from: as if there were no choil."""
        return self.edge(along)

    def limits(self, room: tuple[float, float]) -> Iterator[Limit]:  # noqa: ARG002 - one that is drawn has its sizes
        """Yield what its numbers may be in a bar that is ``room`` mm long and wide."""
        yield from ()

    @property
    def ricasso_length(self) -> float:
        """Length at the heel (mm) that is left unground: bevels begin there, whatever the grind says."""
        return 0.0

    @property
    def choil_span(self) -> tuple[float, float] | None:
        """Where the choil, a notch in the edge, begins and ends (along, mm); None where there is none."""
        return None

    @property
    def tang_polygon(self) -> Array:
        """The tang, ``(n, 2)`` in mm, from the spine behind the heel and back to the edge; empty if there is none."""
        return np.zeros((0, 2))

    @property
    def tang_length(self) -> float:
        """How far the tang reaches behind the heel, mm; 0 if there is none."""
        return -float(self.tang_polygon[:, 0].min()) if self.tang_polygon.size else 0.0

    @property
    def tang_area(self) -> float:
        """Area of the tang, mm2."""
        return area_behind(self.tang_polygon)

    @property
    def tang_is_full(self) -> bool:
        """Whether the tang is as high as a handle, which then lies on it; a hidden one goes into the handle."""
        return self.tang_area > FULL * self.height * self.tang_length

    @property
    def profile(self) -> Array:
        """The whole as a closed polygon ``(n, 2)`` in mm, its first point not repeated: edge, spine, tang."""
        edge, spine, _ = self.traced()
        pointed = spine[-1, 1] - edge[-1, 1] < 1e-6
        return np.concatenate([edge, spine[-2::-1] if pointed else spine[::-1], self.tang_polygon])

    def traced(self) -> tuple[Array, Array, Array]:
        """Return edge, spine and `bevel_edge` as corners ``(n, 2)`` from heel to tip, mm, within `SAG` of the curve."""
        return _traced(self)

    @property
    def files(self) -> dict[str, bytes]:
        """What stands in the files that it was read from, by their paths in the job file's folder."""
        return {}

    def in_folder(self, folder: Path) -> Self:  # noqa: ARG002 - most outlines need no file
        """Return it with what it needs of the job file's ``folder``; raise `FileError` for bad files."""
        return self

    @property
    def notes(self) -> tuple[Sentence, ...]:
        """How it was understood, where it came from elsewhere."""
        return ()

    @property
    def tip(self) -> tuple[float, float]:
        """The tip's ``along`` and ``across``, in mm."""
        return (self.length, float(self.edge(np.array(self.length))))

    def contains(self, along: Array, across: Array) -> Mask:
        """Say which points (broadcastable arrays, mm, blade frame) lie inside the outline."""
        inside = (along >= 0) & (along <= self.length)
        return np.asarray(inside & (across >= self.edge(along)) & (across <= self.spine(along)))

    def edge_distance(self, along: Array, across: Array) -> Array:
        """Return the distance (mm) of points to `bevel_edge`, whatever its form; NaN where a point is."""
        along, across = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(across, dtype=float))
        points = np.stack([along.ravel(), across.ravel()], axis=1)
        known = np.isfinite(points).all(axis=1)
        found = np.full(along.size, np.nan)
        found[known] = _edge_line(self).distance(points[known])
        return found.reshape(along.shape)


@kept
def _corners(outline: Outline) -> tuple[float, float]:
    tang = outline.tang_polygon
    if not tang.size:
        return 0.0, 0.0
    heel = np.zeros(1)
    shoulders = float(tang[-1, 1] - outline.edge(heel)[0]), float(outline.spine(heel)[0] - tang[0, 1])
    level = outline.ricasso_length if outline.choil_span is None else outline.choil_span[0]
    most = min(EASED * outline.height, level), EASED * outline.height
    lower, upper = (max(0.0, min(each)) for each in zip(most, shoulders, strict=True))
    return lower, upper


def _rounded(along: Array, radius: float) -> Array:
    """Return how far a corner rounded by ``radius`` (mm) lies inside the square one at ``along``."""
    left = np.clip(radius - along, 0, radius)
    return np.asarray(radius - np.sqrt(radius * radius - left * left))


@kept
def _edge_line(outline: Outline) -> EdgeLine:
    return EdgeLine.through(outline.traced()[2], outline.height)


@kept
def _traced(outline: Outline) -> tuple[Array, Array, Array]:
    edge, spine, bevel = (
        followed(curve, outline.length) for curve in (outline.edge, outline.spine, outline.bevel_edge)
    )
    return edge, spine, bevel
