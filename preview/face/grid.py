"""The pixels of a face: a grid over the blade's outline."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from preview.base.arrays import Array, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.blade.outlines import Outline
from preview.blade.wear import Wear


@dataclass(frozen=True, eq=False)
class FaceGrid:
    """Pixels over a blade's outline, in the blade frame; row 0 at the spine side, columns from heel to tip.

    Parameters
    ----------
    px_per_mm
        Pixels in a millimetre.
    along, across
        Pixel centres, mm: shapes ``(1, columns)`` and ``(rows, 1)``.
    distance
        Distance to the edge curve, mm, ``(rows, columns)`` float32; off the blade that of the nearest column's rim.
    coverage
        Share of each pixel that the blade (worn, where that is asked for) covers, ``(rows, columns)`` float32.
    shown
        The same, the heel's corners eased as `Outline.rims` has them: for pictures only, nothing is counted on it.
    """

    px_per_mm: float
    along: Array
    across: Array
    distance: Float32
    coverage: Float32
    shown: Float32

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.distance.shape[0], self.distance.shape[1]

    @property
    def mask(self) -> Mask:
        """Pixels whose centre lies on the blade, ``(rows, columns)``."""
        return self.coverage >= 0.5


@kept
def face_grid(outline: Outline, px_per_mm: float, wear: Wear | None = None) -> FaceGrid:
    """Lay a grid over ``outline``, less what ``wear`` has taken off; kept for the last few asked for."""
    if wear is not None:
        new = face_grid(outline, px_per_mm)
        left = (new.distance - wear.at(new.along[0]).astype(np.float32)) * np.float32(px_per_mm) + np.float32(0.5)
        left = np.clip(left, 0, 1)
        return replace(new, coverage=np.minimum(new.coverage, left), shown=np.minimum(new.shown, left))
    columns = max(3, ceil(outline.length * px_per_mm))
    rows = max(3, ceil(outline.height * px_per_mm))
    along = ((np.arange(columns) + 0.5) / px_per_mm)[None, :]
    across = ((rows - 0.5 - np.arange(rows)) / px_per_mm)[:, None]
    distance = np.zeros((rows, columns), dtype=np.float32)
    coverage = np.zeros((rows, columns), dtype=np.float32)

    held = np.clip(along, 0, outline.length)
    edge, spine = outline.edge(held), outline.spine(held)
    ends = np.clip(0.5 + np.minimum(along, outline.length - along) * px_per_mm, 0, 1)
    covered = _between(edge[0], spine[0], along[0], px_per_mm)

    def work(rows: slice) -> None:
        y = across[rows]
        coverage[rows] = covered(y) * ends
        # off the blade the surface goes on level, so that slopes at its rim are those of the rim
        distance[rows] = outline.edge_distance(held, np.clip(y, edge, spine))

    in_row_blocks(work, rows, columns)
    shown = coverage
    if outline.eased_to:
        shown = coverage.copy()
        few = slice(0, ceil(outline.eased_to * px_per_mm) + 2)
        shown[:, few] = _between(*outline.rims(held[0, few]), along[0, few], px_per_mm)(across) * ends[:, few]
    return FaceGrid(px_per_mm, along, across, distance, coverage, shown)


def _between(edge: Array, spine: Array, along: Array, px_per_mm: float) -> Callable[[Array], Array]:
    """Return what gives, for places across, the shares of pixels that lie between two curves."""
    per_mm_edge, per_mm_spine = (px_per_mm / np.hypot(1, np.gradient(line, along)) for line in (edge, spine))

    def covered(across: Array) -> Array:
        over_edge = np.clip(0.5 + (across - edge) * per_mm_edge, 0, 1)
        under_spine = np.clip(0.5 + (spine - across) * per_mm_spine, 0, 1)
        return np.asarray(np.maximum(over_edge + under_spine - 1, 0))

    return covered
