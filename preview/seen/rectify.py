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

MOST_SPOTS, SMALLEST_SPOT = 4, 2.0
"""Spots of glare whose light is reckoned with, and what the smallest hides, mm2."""

BELLS = (2.0, 5.0, 12.0)
"""Widths of the bells of which a spot's light is made up, in squares of its own size."""

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
    glare
        Shapes that the light of glaring spots may have round what they hide, ``(shapes, rows, columns)``.
    """

    light: Float32
    seen: Mask
    glare: Float32

    def turned(self, down: int, right: int, on_face: Mask) -> Laid:
        """Return it with its rows (``down``) or its columns (``right``) the other way round where that is -1."""
        return Laid(self.light[::down, ::right], self.seen[::down, ::right] & on_face, self.glare[:, ::down, ::right])


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
    clipped = seen.max(axis=-1) > CLIPPED
    hidden = strange | clipped
    hidden = binary_dilation(hidden, iterations=round(WIDENED * px_per_mm))
    steel = binary_erosion(on_face, iterations=round(RIM * px_per_mm)) & ~hidden & inside.reshape(on_face.shape)
    grey = np.log(seen @ np.array([0.2126, 0.7152, 0.0722]) + DARKEST)
    return Laid(grey.astype(np.float32), steel, _spots(clipped & on_face, px_per_mm))


def _spots(clipped: Mask, px_per_mm: float) -> Float32:
    """Return bells of some widths round each of the largest spots of glare, as long and high as what it hides."""
    from scipy.ndimage import label

    parts, count = label(clipped)
    areas = np.bincount(parts.ravel(), minlength=count + 1)[1:]
    y, x = np.indices(clipped.shape)
    shapes = []
    for part in np.argsort(-areas)[:MOST_SPOTS]:
        if areas[part] < SMALLEST_SPOT * px_per_mm**2:
            continue
        at = np.argwhere(parts == part + 1)
        middle, spread = at.mean(axis=0), np.cov(at.T) + np.eye(2)
        off = np.stack([y - middle[0], x - middle[1]])
        far = np.einsum("irc,ij,jrc->rc", off, np.linalg.inv(4 * spread), off)  # 1 about where it is no longer hidden
        shapes += [np.exp(-far / width) for width in BELLS]
    return np.array(shapes, dtype=np.float32).reshape(-1, *clipped.shape)
