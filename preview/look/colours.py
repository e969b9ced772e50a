"""Light and the share of the etched dark in it, as sRGB bytes: one look-up a pixel."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.base.pictures import Packed
from preview.look.light import held_back, srgb
from preview.look.metals import OXIDES, Tint, coloured, metal_colour

STEPS, MOST = 4096, 1.6
"""Steps of light in a table, and the light at the end of the last."""

SHARES = 16
"""Steps of the dark's share; one more stands for the ground."""

BESIDE = 1.03
"""The share that stands for the ground."""

DULL = 0.06
"""Luminance of the dark as a share of the bright, for what colour a pixel of both has (chosen by eye)."""

SLATE, WOOD = coloured(np.array([1.0, 0.985, 0.955])), coloured(np.array([1.0, 0.60, 0.34]))
"""Colours of the ground, nearly neutral, and of a handle (chosen by eye)."""


WARM, COOL, BETWEEN = np.array([1.025, 1.0, 0.94]), np.array([0.99, 1.0, 1.02]), (0.15, 0.55)
"""What bright steel mirrors: where it is dim a room with a bench in lamplight, where it is bright a window; and the
lights between which one goes over into the other (chosen by eye). Half etched it mirrors no more."""


def _table(colours: Array) -> Packed:
    """Return packed sRGB of ``STEPS`` lights in each of some colours ``(n, STEPS or 1, 3)``, flat, one to a row."""
    shown = srgb(held_back(_lights())[:, None] * colours)
    packed = np.zeros((*shown.shape[:2], 4), dtype=np.uint8)
    packed[..., :3] = np.rint(255 * shown)
    return packed.view(np.uint32).ravel()


def _lights() -> Array:
    return np.asarray((np.arange(STEPS) + 0.5) * (MOST / STEPS))


def mirrored_colours(nickel: float) -> tuple[Array, Array]:
    """Return the colour of bright steel that is dim and that is bright, for light over or under `BETWEEN`."""
    metal = metal_colour(nickel)
    return coloured(metal * WARM), coloured(metal * COOL)


@lru_cache(maxsize=16)
def steel_colours(nickel: float, tint: Tint) -> Packed:
    """Return the packed sRGB of steel by `key_of`; bright steel holds ``nickel`` (mass per cent)."""
    dark = np.linspace(0, 1, SHARES)[:, None, None]
    part = dark * DULL / (1 - dark + dark * DULL)
    warm, cool = mirrored_colours(nickel)
    low, high = BETWEEN
    lit = np.clip(np.maximum((_lights()[:, None] - low) / (high - low), 2 * dark), 0, 1)
    steel = (warm + (cool - warm) * lit) * (1 - part) + coloured(OXIDES[tint]) * part
    return _table(np.concatenate([steel, np.broadcast_to(SLATE, (1, STEPS, 3))]))


@lru_cache(maxsize=1)
def ground_colours() -> Packed:
    """Return the packed sRGB of the ground by `key_of`, the share being that of a handle."""
    return _table(SLATE + (WOOD - SLATE) * np.linspace(0, 1, SHARES + 1)[:, None, None])


def key_of(light: Float32, share: Float32) -> NDArray[np.int32]:
    """Return the index of a table of colours for light and a share from 0 to 1; takes them as room to work in."""
    light *= np.float32(STEPS / MOST)
    np.clip(light, 0, STEPS - 1, out=light)
    key = light.astype(np.int32)
    share *= np.float32(SHARES - 0.01)
    np.clip(share, 0, SHARES, out=share)
    row = share.astype(np.int32)
    row *= STEPS
    key += row
    return key
