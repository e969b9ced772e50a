"""What lies on plain ground in a photograph, told from it by the light, however unevenly that falls.

Uneven light is a factor that changes slowly. What the ground sends back is known all round a thing, and what the
thing sends back all over it: half way between the two, in linear light, runs its edge, blurred or not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image

from preview.base.arrays import Array, Float32, Mask

LOOKED_AT = 600
"""Pixels of the longer side at which things are looked for."""

DARKEST = 0.004
"""Linear light under which nothing is told apart."""

STEADY = 0.04
"""Steps in the logarithm of the light, from pixel to pixel, under which ground is plain."""

STANDS_OUT = 0.25
"""Difference from the ground, in the logarithm of the light, of what lies on it."""

SMALLEST = 0.004
"""Share of the picture that a thing covers at least; smaller ones are marks and crumbs."""

LEAST_GROUND = 0.1
"""Share of the picture that plain ground covers at least."""

NOISE = 1.0
"""Pixels of the photograph over which the camera's noise is averaged."""


@dataclass(frozen=True, eq=False)
class Thing:
    """Something that lies on the ground, px of the photograph.

    Parameters
    ----------
    where
        Where it is, ``(rows, columns)`` of the smaller picture.
    tone
        The light that it sends back, as a share of the ground's.
    box
        The smallest rectangle round it, aslant or not, ``(4, 2)``, rightwards and downwards.
    area
        Its area, holes in it filled.
    cut_off
        Whether it runs off the picture's rim.
    """

    where: Mask
    tone: float
    box: Array
    area: float
    cut_off: bool

    @property
    def size(self) -> tuple[float, float]:
        """The rectangle's longer and shorter side."""
        sides = np.hypot(*np.diff(self.box[:3], axis=0).T)
        return float(sides.max()), float(sides.min())

    @property
    def fills(self) -> float:
        """The share of its rectangle that it fills."""
        long, short = self.size
        return self.area / max(long * short, 1e-9)


@dataclass(frozen=True, eq=False)
class Ground:
    """A photograph's ground: the light that it sends back, ``(rows, columns)`` of the smaller picture, and things."""

    light: Float32
    small: Float32
    field: Float32
    things: tuple[Thing, ...]

    @classmethod
    def of(cls, light: Float32) -> Ground | None:
        """Look at a photograph's linear light ``(rows, columns)``; None where there is no plain ground round things."""
        from scipy.ndimage import gaussian_gradient_magnitude, label

        step = max(1.0, max(light.shape) / LOOKED_AT)
        size = (round(light.shape[1] / step), round(light.shape[0] / step))
        small = np.asarray(Image.fromarray(light).resize(size, Image.Resampling.BOX))
        level = np.log(small + DARKEST)
        parts, count = label(gaussian_gradient_magnitude(level, 1.5, mode="nearest") < STEADY)
        rim = np.concatenate([parts[0], parts[-1], parts[:, 0], parts[:, -1]])
        at_rim = np.setdiff1d(np.unique(rim), [0])
        if not at_rim.size:
            return None
        areas = np.bincount(parts.ravel(), minlength=count + 1)
        plain = parts == at_rim[np.argmax(areas[at_rim])]
        if plain.mean() < LEAST_GROUND:
            return None
        surface = _smooth(level, plain)
        beside = plain & (np.abs(level - surface) < STANDS_OUT / 2)
        surface = surface + _averaged(level - surface, beside, 0.0)
        things = tuple(_things(np.exp(level - surface), light.shape))
        return cls(light, small, np.asarray(np.exp(surface) - DARKEST, dtype=np.float32), things)

    def contour(self, thing: Thing) -> Array:
        """Return the outer edge of a thing, ``(n, 2)``, px rightwards and downwards, the first point not repeated."""
        from scipy.ndimage import binary_dilation, binary_erosion, gaussian_filter
        from skimage.measure import find_contours

        inner = binary_erosion(thing.where, iterations=2)
        own = np.log((self.small + DARKEST) / (self.field + DARKEST))
        tone = np.exp(_averaged(own, inner, float(np.log(thing.tone))))
        middle = self.field + DARKEST
        middle, contrast = middle * (1 + tone) / 2 - DARKEST, middle * (tone - 1)
        near = binary_dilation(thing.where, iterations=4)
        rows, columns = np.flatnonzero(near.any(axis=1)), np.flatnonzero(near.any(axis=0))
        low, high = np.array([columns[0], rows[0]]), np.array([columns[-1] + 1, rows[-1] + 1])
        scale = np.array(self.light.shape[::-1]) / self.small.shape[::-1]
        left, top = np.floor(low * scale).astype(int)
        right, bottom = np.minimum(np.ceil(high * scale).astype(int), self.light.shape[::-1])
        box = (left / scale[0], top / scale[1], right / scale[0], bottom / scale[1])

        def here(field: Array) -> Array:
            size = (int(right - left), int(bottom - top))
            picture = Image.fromarray(np.asarray(field, dtype=np.float32))
            return np.asarray(picture.resize(size, Image.Resampling.BILINEAR, box=box))

        soft = gaussian_filter(self.light[top:bottom, left:right], NOISE, mode="nearest")
        inside = (soft - here(middle)) / here(contrast)  # -0.5 on the ground, 0.5 on the thing
        inside = np.pad(np.where(here(near) > 0.5, inside, -0.5), 1, constant_values=-0.5)
        rings = [line[:-1, ::-1] for line in find_contours(inside, 0.0) if (line[0] == line[-1]).all()]
        outer = max(rings, key=lambda ring: float(shapely.Polygon(ring).area))
        return np.asarray(outer - 0.5 + (left, top))


def _smooth(level: Float32, plain: Mask) -> Array:
    """Return a smooth surface laid over the plain places of a picture."""
    y, x = (2 * np.indices(level.shape).astype(float) + 1) / np.array(level.shape)[:, None, None] - 1
    terms = np.stack([x**i * y**j for i in range(4) for j in range(4 - i)], axis=-1)
    found = np.linalg.lstsq(terms[plain], level[plain], rcond=None)[0]
    return np.asarray(terms @ found)


def _averaged(values: Array, where: Mask, usual: float) -> Array:
    """Return the mean of ``values`` beside each place, of those at ``where`` only; far from all of them ``usual``."""
    from scipy.ndimage import gaussian_filter

    reach = max(values.shape) / 30
    weight = gaussian_filter(where.astype(float), reach, mode="nearest") + 1e-4
    return np.asarray(gaussian_filter(np.where(where, values - usual, 0.0), reach, mode="nearest") / weight + usual)


def _things(tone: Array, shape: tuple[int, ...]) -> list[Thing]:
    """Return the things that stand out, by the light that they send back as a share of the ground's, largest first."""
    from scipy.ndimage import binary_erosion, binary_fill_holes, label

    scale = np.array(shape[::-1]) / tone.shape[::-1]
    found = []
    for dark in (True, False):
        parts, count = label(np.log(tone) < -STANDS_OUT if dark else np.log(tone) > STANDS_OUT)
        areas = np.bincount(parts.ravel(), minlength=count + 1)
        for number in np.flatnonzero(areas[1:] >= SMALLEST * parts.size) + 1:
            part = parts == number
            inner = binary_erosion(part, iterations=2)
            own = float(np.median(tone[inner if inner.any() else part]))
            half = (1 + own) / 2
            pieces, _ = label(part & (tone < half if dark else tone > half))
            largest = np.argmax(np.bincount(pieces.ravel())[1:]) + 1
            where = binary_fill_holes(pieces == largest)
            if where.mean() >= SMALLEST:
                found.append(_thing(where, own, scale))
    return sorted(found, key=lambda thing: -thing.area)


def _thing(where: Mask, tone: float, scale: Array) -> Thing:
    row, column = np.nonzero(where)
    corners = np.concatenate([np.stack([column + a, row + b], axis=1) for a in (0, 1) for b in (0, 1)]) * scale
    around = shapely.minimum_rotated_rectangle(shapely.MultiPoint(corners))
    box = np.asarray(shapely.get_coordinates(around))[:4]
    rim = where[0].any() or where[-1].any() or where[:, 0].any() or where[:, -1].any()
    return Thing(where, tone, box, float(where.sum() * scale.prod()), bool(rim))
