"""A card, or another flat rectangle of known size, beside a bar or blade: it tells how the camera was held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.seen.camera import Pose
from preview.seen.rim import SPACING

THICK, ROUND = 0.76, 4.0
"""A card's thickness (ISO/IEC 7810), and how much of its edges' ends is left out since its corners are round, mm."""

CARD_SIZE = (85.60, 53.98)
"""Width and height of a usual card, mm: ISO/IEC 7810, ID-1."""

AROUND = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
"""Corners round a middle, from the upper left one clockwise."""


@dataclass(frozen=True, eq=False)
class Card:
    """A flat rectangle of known size that lies beside the bar or blade.

    Parameters
    ----------
    corners
        Where its corners are seen, shares of the photograph, ``(4, 2)``, from the upper left one clockwise.
    size
        Its width and height, mm.
    """

    corners: Array
    size: tuple[float, float]

    def line(self) -> tuple[Array, Array]:
        """Return places of its edges (n, 2), mm from its middle, and outward normals (n, 2)."""
        places, normals = [], []
        for axis in (0, 1):
            half, other = self.size[1 - axis] / 2 - ROUND, self.size[axis] / 2
            at = np.arange(-half, half, SPACING)
            for out in (-1.0, 1.0):
                places.append(np.roll(np.column_stack([np.full(len(at), out * other), at]), axis, axis=1))
                normals.append(np.roll(np.tile([out, 0.0], (len(at), 1)), axis, axis=1))
        return np.concatenate(places), np.concatenate(normals)

    def placed(self, pose: Pose, lies: float) -> Array:
        """Return where it lies, as `on_ground` takes it, that is seen at its corners by a camera of ``pose``."""
        from scipy.optimize import least_squares

        ends = AROUND * np.array(self.size) / 2
        wanted = self.corners * pose.size

        def off(placed: Array) -> Array:
            return np.asarray((pose.project(on_ground(placed, ends, ends, lies)[0]) - wanted).ravel())

        middle = (wanted.mean(axis=0) - pose.project(np.zeros((1, 3)))[0]) / pose.per_mm
        level = wanted[1] - wanted[0]
        return np.asarray(least_squares(off, [*middle, np.arctan2(level[1], level[0])], x_scale=(10, 10, 0.1)).x)


def on_ground(placed: Array, places: Array, normals: Array, lies: float) -> tuple[Array, Array]:
    """Return places and normals of a card in the face's frame that is ``placed``: middle (mm) and turn (radians).

    Its upper side is ``lies`` behind the mid-plane, mm.
    """
    c, s = np.cos(placed[2]), np.sin(placed[2])
    turn = np.array([[c, s], [-s, c]])
    return np.column_stack([places @ turn + placed[:2], np.full(len(places), lies)]), normals @ turn
