"""Where a line on a photograph really runs: the edge of a thing on its ground, found beside where it is expected."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32, Mask
from preview.seen.camera import Pose

HUE = 0.03
"""Least scatter of a hue round a piece of steel, in the logarithm of the light."""

NOISE = 0.01
"""Least variance within steel and within ground, in the logarithm of the light: JPEG smears hues."""

STEP = 0.2
"""Steps across the rim, mm."""

BESIDE, SIDE = 0.3, 0.4
"""How far (mm) from where the ground ends the light may change fastest, standard deviation; and over how much of either
side, from as far off on, its light is taken there: a line of the pattern may run a millimetre within the rim."""

EVEN = 25
"""Places along the rim over which the ground's light is taken for even."""

BINS = (32, 16)
"""Steps in which light and hue are counted."""

CLEAR = 0.12
"""Step, in the logarithm of the light, of an edge that is seen."""

SURE = 0.6
"""Length (mm) over which what is seen beside an edge goes together: so few independent places count."""


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges seen beside places of a line.

    Parameters
    ----------
    wanted
        Where they lie, px ``(n, 2)``.
    per_px
        How far outwards a pixel is there, mm ``(n, 2)``.
    weight
        From 0 to 1, what each is worth.
    rise
        How high it is, in the logarithm of the light.
    """

    wanted: Array
    per_px: Array
    weight: Array
    rise: Array

    def off(self, at: Array) -> Array:
        """Return how far outwards of its edge each place of the line lies that is seen ``at`` (px), mm."""
        return np.asarray(((at - self.wanted) * self.per_px).sum(axis=1))


def look(pixels: Float32, places: Array, normals: Array, pose: Pose, reach: float) -> Edges:
    """Return the edges beside a line, ``reach`` mm (standard deviation) off.

    ``pixels`` is the logarithm of the photograph's linear light, ``(rows, columns, 3)``, ``places`` (n, 3) and
    ``normals`` (n, 2), outwards, are those of the line in the face's frame, mm.
    """
    from scipy.ndimage import map_coordinates

    outwards = np.concatenate([normals, np.zeros((len(normals), 1))], axis=1)
    far = np.arange(-2.5 * reach, 2.5 * reach + STEP, STEP)
    beside = places[:, None] + far[:, None] * outwards[:, None]
    on_photo = pose.project(beside.reshape(-1, 3)).reshape(*beside.shape[:2], 2) - 0.5
    at = [on_photo[..., 1], on_photo[..., 0]]
    seen = np.stack([map_coordinates(pixels[..., layer], at, order=1, mode="nearest") for layer in range(3)], -1)
    off, step = _steps(seen, far, reach)
    weight = np.sqrt(np.clip(step / max(float(np.median(step)), 1e-9), 0, 1)) * _of_one_hue(seen, far, off)
    target = places + outwards * off[:, None]
    wanted = pose.project(target)
    outward = wanted - pose.project(target - outwards)
    weight *= ((wanted > 0) & (wanted < np.array(pose.size))).all(axis=1)
    return Edges(wanted, outward / (outward**2).sum(axis=1)[:, None], weight, step)


def _of_one_hue(seen: Array, far: Array, off: Array) -> Array:
    """Return 1 where both sides of the edge found have the hue that steel and ground have all round, else 0.

    A finger has another: its own edge is none of the steel's.
    """
    kept = np.ones(len(off))
    hue = np.stack([seen[..., 0] - seen[..., 1], seen[..., 2] - seen[..., 1]], axis=-1)
    for inside in (True, False):
        beyond = far - off[:, None]
        strip = (beyond < -0.5) & (beyond > -2.0) if inside else (beyond > 0.5) & (beyond < 2.0)
        count = strip.sum(axis=1)
        mean = (hue * strip[..., None]).sum(axis=1) / np.maximum(count, 1)[:, None]
        some = mean[count > 0]
        if not len(some):
            continue
        usual = np.median(some, axis=0)
        scatter = np.maximum(1.4826 * np.median(np.abs(some - usual), axis=0), HUE)
        kept[(count > 0) & ((np.abs(mean - usual) / scatter).max(axis=1) > 4)] = 0
    return kept


def _steps(seen: Array, far: Array, reach: float) -> tuple[Array, Array]:
    """Return how far outwards (mm) each place's edge lies, and how high its step is, in the logarithm of the light.

    What lies inside may be as light as the ground here and there, and often is: a pattern is both. So light and hue of
    ground and steel are counted, and the edge lies where it is likeliest that what is further out is ground, and what
    is further in steel; there, it is where the light changes fastest.
    """
    from scipy.ndimage import gaussian_filter, median_filter

    inside, outside = far < -0.4 * reach, far > 0.4 * reach
    level = seen.mean(axis=-1)
    ground = median_filter(np.median(level[:, outside], axis=1), size=EVEN, mode="nearest")
    hues = np.stack([seen[..., 0] - seen[..., 1], seen[..., 2] - seen[..., 1]], axis=-1)
    way = _fisher(hues[:, inside].reshape(-1, 2), hues[:, outside].reshape(-1, 2))
    both = np.stack([level - ground[:, None], hues @ way], axis=-1)
    low, high = np.quantile(both.reshape(-1, 2), [0.01, 0.99], axis=0)
    cells = np.clip((both - low) / np.maximum(high - low, 1e-6) * BINS, 0, np.array(BINS) - 1).astype(int)
    flat = cells[..., 0] * BINS[1] + cells[..., 1]

    def shares(where: Mask) -> Array:
        counts = np.bincount(flat[:, where].ravel(), minlength=BINS[0] * BINS[1]).astype(float).reshape(BINS)
        soft = gaussian_filter(counts, 1.0) + 0.002 * counts.sum() / counts.size
        return np.asarray((soft / soft.sum()).ravel())

    likelier = np.clip(np.log(shares(inside) / shares(outside)), -2, 2)[flat] * STEP / SURE
    within = np.cumsum(likelier, axis=1)
    best = (within - 0.5 * (far / reach) ** 2).argmax(axis=1)
    wide = round(SIDE / STEP)
    best = np.clip(best, 2 * wide, len(far) - 1 - 2 * wide)
    row = np.arange(len(best))[:, None]
    there = best[:, None] + np.arange(-2 * wide, 2 * wide + 1)
    near = seen[row, there]
    step = near[:, -wide:].mean(axis=1) - near[:, :wide].mean(axis=1)
    size = np.hypot(np.hypot(step[:, 0], step[:, 1]), step[:, 2])
    light = np.exp(near)  # a lens blurs light itself: its logarithm would change fastest further into what is dark
    way = light[:, -wide:].mean(axis=1) - light[:, :wide].mean(axis=1)
    line = np.einsum("pkc,pc->pk", light, way / np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None])
    rise = line[:, 2:] - line[:, :-2]
    rise *= np.exp(-0.5 * ((np.arange(rise.shape[1]) - rise.shape[1] // 2) * STEP / BESIDE) ** 2)
    top = np.clip(rise.argmax(axis=1), 1, rise.shape[1] - 2)
    left, here, right = (rise[row[:, 0], top + by] for by in (-1, 0, 1))
    bent = left - 2 * here + right
    part = np.where(bent < 0, 0.5 * (left - right) / np.minimum(bent, -1e-9), 0).clip(-1, 1)
    return far[best] + STEP * (top + part - rise.shape[1] // 2), size


def _fisher(inner: Array, outer: Array) -> Array:
    """Return the mixture of layers that tells two sets of pixels (n, layers) apart best: Fisher's, growing outwards."""
    spread = np.cov(inner.T) + np.cov(outer.T) + NOISE * np.eye(inner.shape[1])
    way = np.linalg.solve(spread, outer.mean(axis=0) - inner.mean(axis=0))
    return np.asarray(way / max(float(np.linalg.norm(way)), 1e-12))
