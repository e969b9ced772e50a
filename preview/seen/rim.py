"""A face's rim, in the frame in which a camera sees the face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.blade.grind import Side
from preview.blade.ground import Ground

SPACING = 1.2
"""Places along the rim at which it is looked for, mm."""


@dataclass(frozen=True, eq=False)
class Rim:
    """A face's rim in the face's frame, mm.

    Parameters
    ----------
    places, normals
        Of the rim, ``(n, 3)``, and outwards, ``(n, 2)``; without the heel where a tang covers it.
    box
        Corners of a box round the face, ``(4, 3)``, from the upper left one clockwise.
    open
        Whether a tang or a handle lies behind the heel.
    tip_right
        Whether the tip is to the right.
    """

    places: Array
    normals: Array
    box: Array
    open: bool
    tip_right: bool

    @property
    def lies(self) -> float:
        """How far behind the mid-plane the ground is on which it lies, mm: half of it where it is thickest."""
        return -float(self.places[:, 2].min())


def face_frame(ground: Ground, side: Side, along: Array, across: Array) -> Array:
    """Return places of a ground face (arrays of one shape, mm, blade frame) in the face's frame, (..., 3)."""
    outline = ground.blade.outline
    right = along - outline.length / 2
    stand = ground.stand(side, along, across)
    return np.stack([-right if side == "left" else right, outline.height / 2 - across, -stand], axis=-1)


def rim_of(ground: Ground, side: Side) -> Rim:
    """Return the rim of a face, without what a tang covers."""
    outline = ground.blade.outline
    edge, spine, _ = outline.traced()
    ring = [edge, spine[::-1]] if outline.tang_length else [edge, spine[::-1], edge[:1]]
    line = np.concatenate(ring)
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.arange(SPACING / 2, far[-1], SPACING)
    along, across = (np.interp(at, far, line[:, axis]) for axis in (0, 1))
    step = np.stack(
        [np.interp(at + 0.3, far, line[:, axis]) - np.interp(at - 0.3, far, line[:, axis]) for axis in (0, 1)]
    )
    step = step / np.maximum(np.hypot(*step), 1e-9)
    # round the blade from heel along the edge: outwards is to the right of the way
    out = np.stack([step[1] * (-1 if side == "left" else 1), step[0]], axis=1)
    inside = np.clip(along, 0.2, outline.length - 0.2)
    held = np.clip(across, outline.edge(inside) + 1e-3, outline.spine(inside))
    places = face_frame(ground, side, along, held)
    places[:, 1] = outline.height / 2 - across
    whole = np.concatenate([edge, spine])
    low, high = whole.min(axis=0), whole.max(axis=0)
    corners = np.array([(low[0], high[1]), (high[0], high[1]), (high[0], low[1]), (low[0], low[1])])
    box = np.zeros((4, 3))
    box[:, 0] = (corners[:, 0] - outline.length / 2) * (-1 if side == "left" else 1)
    box[:, 1] = outline.height / 2 - corners[:, 1]
    box[:, 2] = places[:, 2].mean()
    box = box[[1, 0, 3, 2]] if side == "left" else box
    return Rim(places, out, box, outline.tang_length > 0, side == "right")
