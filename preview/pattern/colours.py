"""A picture's colours read by the named ones: each is one of them, or lies on the way from one to another."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Bytes, Float32, Mask

STRAY = 48.0
"""Distance in 8-bit RGB from the named colours, and from the blends of two of them, at which one is stray."""

NOISE = 0.04
"""Share of the way to another named colour that is read as none of it: the noise of a compressed picture."""


@dataclass(frozen=True, eq=False)
class ReadColours:
    """What pixels (n) stand for: a ``first`` colour, a ``second`` one mixed in by ``share``, and which are stray."""

    first: Bytes
    second: Bytes
    share: Float32
    stray: Mask


def read_colours(pixels: Bytes, colours: Float32) -> ReadColours:
    """Read ``pixels`` (n, 3) by the named colours.

    A colour between two named ones is the soft edge between them (or a mix of the two powders), by its place on
    the way from one to the other; where it lies between several pairs, the closer pair counts.
    """
    first = np.zeros(len(pixels), dtype=np.uint8)
    share, stray = np.zeros(len(pixels), dtype=np.float32), np.zeros(len(pixels), dtype=bool)
    codes, named = _codes(pixels), _codes(colours.astype(np.uint8))
    other = np.ones(len(pixels), dtype=bool)
    for index in reversed(range(len(named))):
        exact = codes == named[index]
        first[exact], other[exact] = index, False
    second = first.copy()
    # most pixels of a drawn picture are one of the named colours: only the others are looked at closer
    first[other], second[other], share[other], stray[other] = _read_between(pixels[other], colours)
    return ReadColours(first, second, share, stray)


def _codes(pixels: Bytes) -> NDArray[np.uint32]:
    """Return a number for each colour (n, 3)."""
    red, green, blue = pixels.T.astype(np.uint32)
    return np.asarray(red << 16 | green << 8 | blue)


def _read_between(pixels: Bytes, colours: Float32) -> tuple[Bytes, Bytes, Float32, Mask]:
    """Return the parts of `ReadColours` of pixels that may be any colour."""
    values = pixels.astype(np.float32)
    to_named = np.stack([np.square(values - colour).sum(axis=1) for colour in colours])
    first = to_named.argmin(axis=0).astype(np.uint8)
    second, share = first.copy(), np.zeros(len(values), dtype=np.float32)
    off = to_named.min(axis=0)
    nearest = first.copy()
    pairs = sorted(combinations(range(len(colours)), 2), key=lambda pair: float(np.ptp(colours[list(pair)], 0).sum()))
    for one, other in pairs:
        step = colours[other] - colours[one]
        along = np.clip((values - colours[one]) @ step / max(float(step @ step), 1e-9), 0, 1)
        beside = np.square(values - colours[one] - along[:, None] * step).sum(axis=1)
        better = beside < off - 1
        first[better], second[better] = one, other
        share[better], off[better] = along[better], beside[better]
    stray = off > STRAY**2
    first[stray], share[stray] = nearest[stray], 0
    share = np.clip((share - NOISE) / (1 - 2 * NOISE), 0, 1)
    return first, second, share, stray
