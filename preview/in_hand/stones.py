"""Where the faces stand once the edge is sharpened."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.blade.grind import Side
from preview.blade.ground import Ground
from preview.blade.sharpening import strip_of
from preview.look.rims import RUN_IN


def sharpened_stand(ground: Ground, side: Side, along: Array, across: Array) -> Array:
    """Return where a sharpened face stands, mm outwards of the mid-plane.

    ``along``, ``(n,)``, and ``across``, ``(n,)`` or ``(rows, n)``, are places of the blade, mm.
    """
    distance = ground.blade.outline.edge_distance(along, across)
    stand = ground.stand(side, along, across, distance)
    strip = strip_of(ground, side, along)
    stones = strip.middle + np.tan(np.radians(ground.grind.edge_angle)) * distance
    if ground.plunge:  # the stones come in from the plunge bit by bit
        stones = stones + strip.off * np.exp(-np.maximum(along - ground.plunge[1], 0) / RUN_IN)
    return np.where(np.isfinite(strip.width), np.minimum(stand, stones), stand)
