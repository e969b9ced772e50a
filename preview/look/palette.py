"""All that the steel of a blade looks like under one light and etch: one look-up a pixel.

A pixel keeps which of the palette's entries it shows: the cell of a still table where it looks, and its *level*, how
light its steel is by the usual etch. Etch and light make another palette; the pixels stay.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.base.pictures import Packed
from preview.look.colours import key_of, steel_colours
from preview.look.etch import VOID_LUMINANCE, Etch, lightness_of, luminance
from preview.look.light import Light
from preview.look.still import CELLS, StillTable, fully_etched, still_table

LEVELS, DARKEST, LIGHTEST = 80, 0.08, 0.8
"""Levels there are, even steps of the root of luminance, near enough as the eye has them; the roots of the second and
of the last. The first is where there is no steel."""

PER_ROOT = (LEVELS - 2) / (LIGHTEST - DARKEST)

Entries = NDArray[np.int32]
"""Flat indices of a palette."""


@dataclass(frozen=True, eq=False)
class Palette:
    """What steel shows, by its level and its cell in a still table.

    Parameters
    ----------
    shown
        Packed sRGB, `LEVELS` rows of ``CELLS * CELLS``, flat.
    table
        What it is made of.
    gone
        How far each level has gone from bright (0) to fully etched (1), ``(LEVELS,)``.
    """

    shown: Packed
    table: StillTable
    gone: Float32

    def light(self, entries: Entries) -> tuple[Float32, Float32]:
        """Return the light of some entries, and the share of the etched dark in it."""
        level, cell = np.divmod(entries, CELLS * CELLS)
        gone = self.gone[level]
        return self.table.bright[cell] + gone * self.table.more[cell], np.clip(gone, 0, 1)


def palette_of(light: Light, etch: Etch, nickel: float, *, mirrored: bool) -> Palette:
    """Return the palette of a light and an etch; bright steel holds ``nickel`` (mass per cent).

    ``mirrored`` where the tip is on the left.
    """
    return _palette(light, etch, nickel, mirrored and light.turn != 0)


@lru_cache(maxsize=4)
def _palette(light: Light, etch: Etch, nickel: float, mirrored: bool) -> Palette:
    table, gone = still_table(light, etch, mirrored=mirrored), gone_by_level(etch)
    lit = gone[:, None] * table.more
    lit += table.bright
    keys = key_of(lit, np.clip(gone, 0, 1)[:, None])
    return Palette(np.take(steel_colours(nickel, etch.tint), keys).ravel(), table, gone)


def levels_of(root: Float32, noise: Float32) -> Entries:
    """Return the first entries of the levels of steel whose luminance by the usual etch has such roots.

    Takes its first argument as room to work in; ``noise`` is added in levels, so that these do not show.
    """
    root *= np.float32(PER_ROOT)
    root += np.float32(1.5 - DARKEST * PER_ROOT)
    root += noise
    np.clip(root, 0, LEVELS - 1, out=root)
    level = root.astype(np.int32)
    level *= CELLS * CELLS
    return level


def usual_tone(resistance: Array | float) -> Array:
    """Return the relative luminance that steel has by the usual etch, once it has done all it can."""
    usual = Etch()
    return luminance(usual.bright - (usual.bright - usual.dark) * (1 - np.asarray(resistance)))


def brightness_of(root: Float32) -> Float32:
    """Return how bright steel is whose luminance by the usual etch has such roots: 0 fully etched, 1 not at all.

    Near enough the share of the attack that it holds off, and so how high it stands.
    """
    darkest, lightest = np.sqrt(usual_tone(np.array([0.0, 1.0]))).astype(np.float32)
    brightness: Float32 = root - darkest
    brightness *= 1 / (lightest - darkest)
    return np.maximum(brightness, 0, out=brightness)


def gone_by_level(etch: Etch) -> Float32:
    """Return how far the steel of each level has gone from bright (0) to fully etched (1) by an etch, ``(LEVELS,)``.

    Steel as light as that by the usual etch holds off so much of the attack, whatever the etch.
    """
    usual = Etch()
    lightness = lightness_of((DARKEST + np.arange(-1, LEVELS - 1) / PER_ROOT) ** 2)
    attack = (usual.bright - lightness) / (usual.bright - usual.dark)
    dark = etch.dark if etch.dark_finish is None else min(etch.dark, etch.dark_finish)
    left = luminance(np.clip(etch.bright - (etch.bright - dark) * etch.progress * attack, 0, 100))
    left[0] = VOID_LUMINANCE
    bright = float(luminance(etch.bright))
    return np.asarray((bright - left) / max(bright - fully_etched(etch), 1e-6), dtype=np.float32)
