"""The etch's own line: soft where two steels meet, and as ragged as their grains of powder lay.

For pictures only; what stands at a pixel, and what is counted, stays on the line itself.
"""

from __future__ import annotations

from math import ceil

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import Same, kept
from preview.face.face_map import FaceMap
from preview.look.rims import Indices
from preview.look.texture import GRAIN_SEEN, uneven

CREEP = 0.05
"""Standard deviation of what welding and etch make of a sharp line, mm: a half-tone some 0.1 mm wide (by eye)."""

SEAM, SEAM_SHARE = 0.12, 0.07
"""How far steel is carried over the line, mm, and the share of it that goes to each of four sides: a grey seam on the
dark side, hardly seen on the bright one (by eye)."""

GRAINS = ((0.07, 0.5), (0.13, 0.6), (0.35, 0.4))
"""What lies across the line, mm in the can: grains of powder, fine and coarse, and clusters of them; and how much each
strays (by eye)."""

STRAYS = 1.5
"""Standard deviation of the logarithm of the odds by which grains prevail over the other steel's (by eye)."""

MOST_DRAWN = 2.5
"""How many times its size a grain is shown drawn out, at most (by eye)."""

APART, LEAST, WHOLE = (2, 3), 0.35, 0.8
"""Pixels before and behind between which a line has to change for grains to be told, both so; from which change on, and
from which to the full. Of lines hardly wider than pixels nothing is told but their mean, or they would clot."""

SMALL = 127
"""What a whole share counts where it is told in a byte."""

CALM, CALM_SIZES = 0.5, (1.6, 6.0)
"""From stretch to stretch the line is more ragged or less, by this share, every so many mm (by eye)."""

MOST = 0.25
"""Share of a pixel that each neighbour takes in one pass, at most."""


def crept(face: FaceMap, seed: int) -> tuple[Float32, ...]:
    """Return a face's shares (see `FaceMap`) as the etch brings them out: soft and ragged where two steels meet.

    Those of a pixel, the first class's with them, still add up to 1; where one class has all, nothing changes. They are
    the same for faces that mirror each other.
    """
    return _crept(Same(face.shares), face.grid.shape, face.grid.px_per_mm, _told(face.grain), seed)


@kept
def _crept(
    same: Same[tuple[Float32, ...]], shape: tuple[int, int], fine: float, grain: tuple[float, float], seed: int
) -> tuple[Float32, ...]:
    given, (rows, columns) = same.value, shape
    wanted = 0.5 * (CREEP * fine) ** 2
    passes = max(1, ceil(wanted / MOST))
    taken, far = np.float32(min(MOST, wanted / passes)), max(1, round(SEAM * fine))
    carried = np.float32(SEAM_SHARE * min(1.0, (SEAM * fine / far) ** 2))
    strays = _strays((rows, columns), fine, grain, seed)
    reach = passes + far + max(APART)
    made = tuple(np.empty_like(share) for share in given)

    def work(part: slice) -> None:
        wide = slice(max(part.start - reach, 0), min(part.stop + reach, rows))
        inner = slice(part.start - wide.start, part.stop - wide.start)
        shares = [share[wide] for share in given]
        for _ in range(passes):
            shares = [_softened(share, 1, taken) for share in shares]
        _stray(shares, strays[wide], grain)
        for share, into in zip(shares, made, strict=True):
            into[part] = _softened(share, far, carried)[inner]

    if made:
        in_row_blocks(work, rows, columns)
    return made


def _told(grain: tuple[float, float]) -> tuple[float, float]:
    """Return how long and tall grains are drawn, in steps of half an octave, so that few are ever told."""
    long, tall = (float(2 ** (round(2 * np.log2(np.clip(each, 0.3, MOST_DRAWN))) / 2)) for each in grain)
    return long, tall


def _stray(shares: list[Float32], strays: Float32, grain: tuple[float, float]) -> None:
    """Let grains of one class prevail over another's, in place: most where both have half, not at all within one.

    ``strays`` is the logarithm of the odds of a grain of the last class against one of the first. It counts the less
    the less far a grain reaches square to the line: drawn out, they leave a line along the draw the smoother.
    """
    small = [(share * np.float32(SMALL)).astype(np.int8) for share in shares]
    change = np.minimum(*(_change(small, far) for far in APART))
    at = np.flatnonzero(change > round(SMALL * LEAST))
    keen = change.ravel()[at].astype(np.float32)
    keen -= np.float32(SMALL * LEAST)
    keen *= np.float32(1 / (SMALL * (WHOLE - LEAST)))
    np.minimum(keen, 1, out=keen)
    long, tall = (np.float32(each / max(1.0, *grain)) for each in grain)
    beside, over = (_squares(small, at, APART[0] * step) for step in (1, change.shape[1]))
    reach = np.sqrt((long * long * beside + tall * tall * over) / (beside + over))
    reach *= strays.ravel()[at]
    keen *= np.exp(reach, out=reach) - 1
    whole, part = np.ones_like(keen), []
    for number, share in enumerate(shares, 1):
        here = share.ravel()[at]
        gain = keen * np.float32(number / len(shares)) * here
        whole += gain
        part.append(here + gain)
    for share, here in zip(shares, part, strict=True):
        np.put(share, at, here / whole)


def _squares(shares: list[NDArray[np.int8]], at: Indices, far: int) -> Float32:
    """Return the square of how much shares change from ``far`` before to ``far`` behind a few pixels (flat index)."""
    ahead, behind = np.minimum(at + far, shares[0].size - 1), np.maximum(at - far, 0)
    total = np.full(at.size, 1e-3, dtype=np.float32)
    for share in shares:
        change = share.ravel()[ahead].astype(np.float32)
        change -= share.ravel()[behind]
        change *= change
        total += change
    return total


def _change(shares: list[NDArray[np.int8]], far: int) -> NDArray[np.int8]:
    """Return the most that any share changes from what is ``far`` pixels before to what is as far behind."""
    most = np.zeros_like(shares[0])
    for share in shares:
        for there, before, behind in (
            (most[:, far:-far], share[:, : -2 * far], share[:, 2 * far :]),
            (most[far:-far], share[: -2 * far], share[2 * far :]),
        ):
            change = behind - before
            np.abs(change, out=change)
            np.maximum(there, change, out=there)
    return most


def _softened(share: Float32, far: int, taken: np.float32) -> Float32:
    """Return a share of which each pixel gives ``taken`` to each of its neighbours ``far`` pixels away."""
    given = share * taken
    left = share * (1 - 4 * taken)
    left[:, far:] += given[:, :-far]
    left[:, :-far] += given[:, far:]
    left[far:] += given[:-far]
    left[:-far] += given[far:]
    # beyond its rim a face goes on as it ends
    left[:, :far] += given[:, :1]
    left[:, -far:] += given[:, -1:]
    left[:far] += given[:1]
    left[-far:] += given[-1:]
    return left


@kept
def _strays(shape: tuple[int, int], px_per_mm: float, grain: tuple[float, float], seed: int) -> Float32:
    """Return the logarithm of the odds of a grain of one steel against one of the other, ``(rows, columns)``.

    What lies across the line stands here for the whole face; it shows where the line passes.
    """
    total = np.zeros(shape, dtype=np.float32)
    long, tall = grain
    for number, (size, share) in enumerate(GRAINS):
        step = (tall * size * px_per_mm, long * size * px_per_mm)
        total += np.float32(share) * uneven(shape, step, seed + 10 + number)
    total *= np.float32(STRAYS * min(1.0, px_per_mm / GRAIN_SEEN) / np.sqrt(sum(share * share for _, share in GRAINS)))
    more = sum(uneven(shape, size * px_per_mm, seed + 20 + number) for number, size in enumerate(CALM_SIZES))
    total *= np.maximum(1 + np.float32(CALM / np.sqrt(len(CALM_SIZES))) * more, 0)
    return np.clip(total, -2.5, 2.5, out=total)
