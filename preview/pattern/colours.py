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
    """What pixels (n) stand for, by the owners of the named colours.

    Most pixels of a drawn picture are one of the named colours; only of the others there is more to say.

    Parameters
    ----------
    first
        The owner of each pixel's colour, (n,).
    between
        Numbers of the pixels that are none of the named colours, (m,).
    second, share, stray
        The owner of a second colour mixed into each of those, by which share, and which of them are stray, (m,).
    """

    first: Bytes
    between: NDArray[np.intp]
    second: Bytes
    share: Float32
    stray: Mask


def read_colours(pixels: Bytes, colours: Bytes, owner: Bytes) -> ReadColours:
    """Read ``pixels`` (n, 4), RGBA, by the named ``colours`` (k, 4), each of which has an ``owner`` (k,).

    How transparent they are makes no difference. A colour between two named ones is the soft edge between them (or a
    mix of the two powders), by its place on the way from one to the other; where it lies between several pairs, the
    closer pair counts.
    """
    first = np.zeros(len(pixels), dtype=np.uint8)
    codes, other = _codes(pixels), np.ones(len(pixels), dtype=bool)
    for code, each in reversed(tuple(zip(_codes(colours), owner, strict=True))):
        exact = codes == code
        first[exact] = each
        other &= ~exact
    between = np.flatnonzero(other)
    one, another, share, stray = _read_between(pixels[between, :3], colours[:, :3].astype(np.float32))
    first[between] = owner[one]
    return ReadColours(first, between, owner[another], share, stray)


def _codes(pixels: Bytes) -> NDArray[np.uint32]:
    """Return a number for each colour (n, 4), whatever its alpha."""
    rgb = np.array([255, 255, 255, 0], dtype=np.uint8).view(np.uint32)
    return np.ascontiguousarray(pixels).view(np.uint32)[:, 0] & rgb


def _read_between(pixels: Bytes, colours: Float32) -> tuple[Bytes, Bytes, Float32, Mask]:
    """Return the numbers of the first and second colour, share and stray of pixels (m, 3) that may be any colour."""
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
