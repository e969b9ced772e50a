"""What a finish leaves on steel: scratches and grain, as noise of standard deviation 1 over a face's pixels."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.base.arrays import Array, Float32
from preview.base.cache import kept

Waves = NDArray[np.complex128]

LINES = ((4.0, 0.0, 0.55), (14.0, 0.0, 0.6), (40.0, 0.0, 0.4), (24.0, 0.25, 0.4))
"""Scratches: length and width, mm, at least a pixel, and how much each counts (chosen by eye).

The last are bundles of them, which a picture keeps that is shown small.
"""

CLOUDS = (1.6, 6.0)
"""Sizes of what is uneven, mm (chosen by eye)."""

TILE = 768
"""Pixels of a tile of stone each way."""

STONE_FINEST, STONE_COARSEST, STONE_GRAIN = 0.22, 6.0, 0.16
"""Sizes of a stone's unevenness, finest and coarsest, and of its grains, mm (chosen by eye)."""


@kept
def scratches(shape: tuple[int, int], px_per_mm: float, seed: int, *, lengthwise: bool) -> Float32:
    """Return slopes of scratches square to them, ``(rows, columns)``, along the blade or across it."""
    rows, columns = shape if lengthwise else shape[::-1]
    rng = np.random.default_rng([seed, 1])
    total = np.zeros((rows, columns), dtype=np.float32)
    for length, width, share in LINES:
        knots = max(2.0, length * px_per_mm / 2)
        wide, count = columns + int(4 * knots), math.ceil(rows / max(1.0, width * px_per_mm))
        coarse = rng.standard_normal((count, int(wide / knots) + 2)).astype(np.float32)
        lines = np.asarray(Image.fromarray(coarse).resize((wide, count), Image.Resampling.BICUBIC))
        # each begins elsewhere, or all scratches would end above each other
        begins = rng.integers(0, wide - columns, count)[:, None]
        lines = np.take_along_axis(lines, begins + np.arange(columns)[None, :], axis=1)
        if count < rows:
            lines = np.asarray(Image.fromarray(lines).resize((columns, rows), Image.Resampling.BICUBIC))
        total += np.float32(share) * lines
    total /= total.std()
    return np.ascontiguousarray(total if lengthwise else total.T)


def clouds(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    """Return what is uneven over some millimetres, ``(rows, columns)``: no etch takes quite alike everywhere."""
    rng = np.random.default_rng([seed, 4])
    rows, columns = shape
    total = np.zeros(shape, dtype=np.float32)
    for size in CLOUDS:
        coarse = rng.standard_normal([int(side / (size * px_per_mm)) + 3 for side in shape]).astype(np.float32)
        total += np.asarray(Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC))
    total /= max(float(total.std()), 1e-6)
    return np.asarray(total - total.mean())


def grain(shape: tuple[int, int], seed: int) -> Float32:
    """Return fine grain, ``(rows, columns)``, uneven from pixel to pixel and over two or three."""
    rng = np.random.default_rng([seed, 2])
    rows, columns = shape
    fine = rng.standard_normal((rows, columns), dtype=np.float32)
    coarse = rng.standard_normal((rows // 2 + 1, columns // 2 + 1), dtype=np.float32)
    fine += np.asarray(Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC))
    fine /= fine.std()
    return fine


@kept
def dither(shape: tuple[int, int], seed: int) -> tuple[Float32, Float32]:
    """Return even noise of a cell's width, within +-0.5, twice: so that the cells of a table do not show."""
    rng = np.random.default_rng([seed, 3])
    one, other = (rng.random(shape, dtype=np.float32) - np.float32(0.5) for _ in range(2))
    return one, other


def stone(shape: tuple[int, int], px_per_mm: float, side: int = TILE) -> tuple[Float32, Float32]:
    """Return a honed stone's surface, ``(rows, columns)``: how it leans to the light above, and its grains.

    Made once for a tile, ``side`` pixels each way, whose rims go on in one another, and laid side by side.
    """
    times = -(-shape[0] // side), -(-shape[1] // side)
    rough, grains = (np.tile(each, times)[: shape[0], : shape[1]] for each in _tile_of_stone(px_per_mm, side))
    return rough, grains


@kept
def _tile_of_stone(px_per_mm: float, side: int) -> tuple[Float32, Float32]:
    there = np.fft.fftfreq(side, 1 / px_per_mm)[:, None], np.fft.rfftfreq(side, 1 / px_per_mm)[None, :]
    often = np.hypot(*there)

    def tile(waves: Waves, strength: Array) -> Float32:
        made = np.fft.irfft2(waves * strength, (side, side))
        return np.asarray(made / max(float(made.std()), 1e-9), dtype=np.float32)

    height = np.exp(-((often * STONE_FINEST) ** 2)) / (STONE_COARSEST**-2 + often * often) ** 0.9
    one, other = _white_noise(side)
    rough = tile(one, height * 1j * there[0])  # its slope downwards
    return rough, tile(other, np.exp(-((often * STONE_GRAIN) ** 2)))


@lru_cache(maxsize=1)
def _white_noise(side: int) -> tuple[Waves, Waves]:
    """Return the waves of two squares of white noise, the same for stone of any size."""
    rng = np.random.default_rng(12)
    one, other = (np.fft.rfft2(rng.standard_normal((side, side))) for _ in range(2))
    return one, other
