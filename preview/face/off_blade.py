"""Where the bright pattern comes out that is not on the blade."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.face.lying_off import in_can
from preview.face.origins import Origins, can_to_blade

MOST_CELLS = 2000
"""Cells of the bright pattern that are carried to the blade: enough to tell where most of what is off it lies."""


def off_blade(origins: Origins, bright: tuple[str, ...]) -> Array:
    """Return places ``(n, 2)``, along and across, mm, evenly over the bright pattern that is not on the blade.

    A place is that of a cell at the can's half height; what is milled off the bar is not among them. For dividers
    through the blade, whose pattern has an end.
    """
    cells = np.argwhere(origins.laid.share_of(bright) > 0.5)
    row, column = cells[:: max(1, len(cells) // MOST_CELLS)].T.astype(float)
    x, y = in_can(origins, column, row)
    places = can_to_blade(origins.ground, origins.history, np.stack([x, y, 0 * x], axis=-1))[:, :2]
    places = places[np.isfinite(places[:, 0])]
    return places[~origins.ground.blade.outline.contains(*places.T)]
