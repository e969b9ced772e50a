"""Where on a blade a part may come out: inside its outline, with a margin of steel all round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Float32, Mask
from preview.base.errors import RequestError
from preview.base.units import mm, say
from preview.blade.outlines import Outline

ROW = 0.1
"""Height of a row, mm."""


@dataclass(frozen=True, eq=False)
class Room:
    """From where to where along the blade there is room, row by row.

    Where an outline swings in and out again at one height, the longest stretch counts: what a part loses of the others
    is told as if it were cut.

    Parameters
    ----------
    low
        The lowest row's lower rim, mm from the edge's baseline.
    start, end
        Along the blade, mm, ``(rows,)``; the first and the last row have none, and stand for all beyond.
    """

    low: float
    start: Float32
    end: Float32

    @classmethod
    def of(cls, outline: Outline, margin: float) -> Room:
        """Return the room on the blade of an outline, its tang left out, ``margin`` mm from its rim.

        Raises
        ------
        RequestError
            If the margin leaves none.
        """
        edge, spine, _ = outline.traced()
        inside = shapely.Polygon(np.concatenate([edge, spine[::-1]])).buffer(0).buffer(-margin)
        if inside.is_empty:
            problem = say("leaves no room on a blade {} high; given {}", mm(outline.height), mm(margin, form="g"))
            raise RequestError.at("place.margin", problem)
        left, low, right, high = inside.bounds
        rows = low + (np.arange(int(np.ceil((high - low) / ROW))) + 0.5) * ROW
        ends = np.stack([np.full_like(rows, left - 1), np.full_like(rows, right + 1)])
        lines = shapely.linestrings(np.stack([ends, np.broadcast_to(rows, ends.shape)], axis=-1).swapaxes(0, 1))
        found = [_longest(each) for each in shapely.intersection(inside, lines)]
        start, end = np.array([(np.inf, -np.inf), *found, (np.inf, -np.inf)], dtype=np.float32).T
        return cls(float(low), start, end)

    def shifts(self, along: Float32, across: Float32) -> tuple[Float32, Float32]:
        """Return from where to where points (arrays of one shape, mm) may be moved along to have room."""
        row = np.clip((across - self.low) / ROW + 1, 0, len(self.start) - 1).astype(np.int32)
        return self.start[row] - along, self.end[row] - along

    def holds(self, along: Float32, across: Float32) -> Mask:
        """Say which points (arrays of one shape, mm) have room where they are."""
        back, ahead = self.shifts(along, across)
        return np.asarray((back <= 0) & (ahead >= 0))


def _longest(line: shapely.Geometry) -> tuple[float, float]:
    parts = [each.bounds for each in shapely.get_parts(line) if each.length > 0]
    best = max(parts, key=lambda bounds: bounds[2] - bounds[0], default=(np.inf, 0.0, -np.inf, 0.0))
    return best[0], best[2]
