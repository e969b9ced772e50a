"""A photographed face laid straight: the light of its places, and which of them can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.seen.camera import Pose

DARKEST = 0.004
"""Linear light under which nothing is told apart."""

CLIPPED = 0.86
"""Linear light over which glare hides the steel."""

HUE = 5.0
"""Deviations by which a colour may lie off the face's own before it is no steel."""

RIM, WIDENED = 1.0, 1.5
"""Left out along the rim, and round what is masked, mm."""


@dataclass(frozen=True, eq=False)
class Laid:
    """A face's places, ``(rows, columns)``, as the grid has them.

    Parameters
    ----------
    light
        Logarithm of the linear light.
    seen
        Whether the steel is seen there.
    """

    light: Float32
    seen: Mask


def linear(pixels: Bytes) -> Float32:
    """Return the linear light of sRGB bytes (IEC 61966-2-1)."""
    coded = np.arange(256) / 255
    table = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4).astype(np.float32)
    return np.asarray(table[pixels])


def lay_straight(light: Float32, pose: Pose, places: Array, on_face: Mask, px_per_mm: float) -> Laid:
    """Return the face as if seen squarely.

    Parameters
    ----------
    light
        Linear light of the photograph, ``(rows, columns, 3)``.
    pose
        Where it was taken from.
    places
        The grid's places in the face's frame, ``(rows, columns, 3)``, mm.
    on_face
        Which of them lie on the face.
    px_per_mm
        Of the grid.
    """
    from scipy.ndimage import binary_dilation, binary_erosion, gaussian_filter, map_coordinates

    soft = max(0.0, 0.35 * pose.per_mm / px_per_mm)
    at = pose.project(places.reshape(-1, 3)) - 0.5
    inside = (at > 0).all(axis=1) & (at < np.array(pose.size) - 1).all(axis=1)
    layers = [
        map_coordinates(gaussian_filter(light[..., layer], soft), at.T[::-1], order=1, mode="nearest")
        for layer in range(3)
    ]
    seen = np.stack(layers, axis=-1).reshape(*places.shape[:2], 3)
    logs = np.log(seen + DARKEST)
    hue = np.stack([logs[..., 0] - logs[..., 1], logs[..., 2] - logs[..., 1]], axis=-1)
    usual = np.median(hue[on_face], axis=0)
    scatter = np.maximum(1.4826 * np.median(np.abs(hue[on_face] - usual), axis=0), 0.02)
    strange = (np.abs(hue - usual) / scatter).max(axis=-1) > HUE
    strange = binary_erosion(strange, iterations=1)
    hidden = strange | (seen.max(axis=-1) > CLIPPED)
    hidden = binary_dilation(hidden, iterations=round(WIDENED * px_per_mm))
    steel = binary_erosion(on_face, iterations=round(RIM * px_per_mm)) & ~hidden & inside.reshape(on_face.shape)
    grey = np.log(seen @ np.array([0.2126, 0.7152, 0.0722]) + DARKEST)
    return Laid(grey.astype(np.float32), steel)
