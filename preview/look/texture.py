"""What etch and stones leave on steel, and what stone is like: grain and clouds as noise over a face's pixels."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.base.arrays import Array, Float32
from preview.base.cache import kept

Waves = NDArray[np.complex128]

CLOUDS = (3.0, 9.0)
"""Sizes of what the etch leaves uneven, mm: from spot to spot twice to thrice as far (chosen by eye)."""

SHEER, MATT = (0.014, 0.008), (0.05, 0.033)
"""Relative scatter of the light of bright steel and of etched steel: from pixel to pixel, and over `CLOUDS`
(chosen by eye)."""

GRAIN_SEEN = 6.0
"""Pixels in a millimetre from which grain shows to the full: a larger pixel holds more of it, which evens out."""

MARKS = (0.07, 0.9)
"""Widths of a stone's scratches and of their bundles, mm (chosen by eye)."""

TILE = 768
"""Pixels of a tile of stone each way."""

NOISE = 256
"""Pixels of a tile of noise each way."""

STONE_FINEST, STONE_COARSEST, STONE_GRAIN = 0.22, 6.0, 0.16
"""Sizes of a stone's unevenness, finest and coarsest, and of its grains, mm (chosen by eye)."""


def clouds(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    """Return what is uneven over some millimetres, ``(rows, columns)``: no etch takes quite alike everywhere."""
    total = np.zeros(shape, dtype=np.float32)
    for number, size in enumerate(CLOUDS):
        total += uneven(shape, size * px_per_mm, seed + number)
    total -= total.mean()
    total /= max(float(total.std()), 1e-6)
    return total


def uneven(shape: tuple[int, int], step: float | tuple[float, float], seed: int) -> Float32:
    """Return smooth noise, ``(rows, columns)``, of standard deviation 1.

    It is told every ``step`` pixels, or every so many down and every so many across.
    """
    rng = np.random.default_rng([seed, 4])
    rows, columns = shape
    steps = step if isinstance(step, tuple) else (step, step)
    knots = [int(side / max(each, 1)) + 3 for side, each in zip(shape, steps, strict=True)]
    coarse = rng.standard_normal(knots, dtype=np.float32)
    made = np.asarray(Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC))
    return np.asarray(made / max(float(made.std()), 1e-6), dtype=np.float32)


def grain(shape: tuple[int, int], seed: int) -> Float32:
    """Return fine grain, ``(rows, columns)``, uneven from pixel to pixel and over two or three."""
    rng = np.random.default_rng([seed, 2])
    fine = rng.standard_normal(shape, dtype=np.float32) + uneven(shape, 2, seed)
    return np.asarray(fine / fine.std(), dtype=np.float32)


def textures(shape: tuple[int, int], px_per_mm: float, seed: int) -> tuple[Float32, Float32]:
    """Return the light of bright and of etched steel from place to place, about 1, each ``(rows, columns)``.

    A ground steel is even; an oxide is grained and a little cloudy. Each scatters about 1, so an even light stays even.
    """
    fine, cloud = grain(shape, seed), clouds(shape, px_per_mm, seed)
    fine *= np.float32(min(1.0, px_per_mm / GRAIN_SEEN))
    bright, etched = (np.float32(often) * fine + np.float32(seldom) * cloud + 1 for often, seldom in (SHEER, MATT))
    return bright, etched


@kept
def stone_marks(columns: int, px_per_mm: float, seed: int) -> Float32:
    """Return slopes of the scratches that stones leave across an edge, ``(columns,)``, in bundles of several."""
    fine, bundled = (uneven((1, columns), wide * px_per_mm, seed + 5)[0] for wide in MARKS)
    return np.asarray(0.8 * fine + 0.6 * bundled)


def dither(shape: tuple[int, int], seed: int) -> tuple[Float32, Float32, Float32]:
    """Return even noise of a cell's width, within +-0.5, thrice: so that the cells of a table do not show.

    Neighbours differ as far as can be, so that little is left of it a few pixels off.
    """
    tile = _unlike_neighbours()
    side = len(tile)
    begins = np.random.default_rng([seed, 3]).integers(0, side, (3, 2))
    times = -(-shape[0] // side), -(-shape[1] // side)
    one, other, third = (
        np.ascontiguousarray(np.tile(np.roll(tile, tuple(begin), axis=(0, 1)), times)[: shape[0], : shape[1]])
        for begin in begins.tolist()
    )
    return one, other, third


@lru_cache(maxsize=1)
def _unlike_neighbours() -> Float32:
    """Return a tile of even noise within +-0.5 whose slow waves are taken off again and again."""
    often = np.hypot(np.fft.fftfreq(NOISE)[:, None], np.fft.rfftfreq(NOISE)[None, :])
    quick = 1 - np.exp(-((often / 0.25) ** 2))
    noise = np.random.default_rng(14).random((NOISE, NOISE))
    even = (np.arange(noise.size) + 0.5) / noise.size - 0.5
    for _ in range(6):
        order = np.argsort(np.fft.irfft2(np.fft.rfft2(noise) * quick, noise.shape), axis=None)
        noise.ravel()[order] = even
    return noise.astype(np.float32)


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
