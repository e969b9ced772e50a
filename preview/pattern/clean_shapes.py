"""Tones on a sheet made into clean shapes: outlines evened, closed ones filled, and what is too narrow taken out.

Tones are numbers ``(rows, columns)``: 0 is the darkest drawn, the last is bare paper. Sizes are in pixels.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32, Mask
from preview.pattern.narrow import too_narrow

Tones = NDArray[np.uint8]

COARSE = 4
"""Pixels of which one is looked at to see whether a drawing is one of outlines."""

THIN = 1 / 25
"""Strokes under this share of the shorter side are thin: a drawing of them alone is one of outlines."""


def tell_apart(dark: Float32, levels: Array, smooth: float) -> Tones:
    """Return the tones of a sheet: its darkness parted at ``levels``, growing, the outlines evened over ``smooth``."""
    from scipy.ndimage import gaussian_filter

    tones: Tones = (len(levels) - np.searchsorted(levels, dark)).astype(np.uint8)
    if smooth < 0.3:  # the filter would be a single pixel
        return tones
    # where a blurred area falls to one half, its outline runs on evenly through all that is rough
    held = [gaussian_filter((tones == tone).astype(np.float32), smooth) for tone in range(len(levels) + 1)]
    return np.asarray(np.argmax(held, axis=0).astype(np.uint8))


def fill_closed(tones: Tones) -> Tones:
    """Return the tones with closed outlines filled in the darkest; an outline within a filled one stays open inside."""
    from scipy.ndimage import binary_propagation, label

    paper = int(tones.max())
    drawn = tones < paper
    outside = ~drawn
    rim = np.zeros_like(drawn)
    rim[0], rim[-1], rim[:, 0], rim[:, -1] = True, True, True, True
    reached = binary_propagation(rim & outside, mask=outside)
    known, filled, even = reached.copy(), np.zeros_like(drawn), False
    while not known.all():
        # from what is reached over the strokes beside it to what they close in
        grown = binary_propagation(_grown(reached) & drawn & ~known, mask=drawn & ~known, structure=np.ones((3, 3)))
        known |= grown
        holes, count = label(~drawn & ~known)
        beside = np.zeros(count + 1, dtype=bool)
        beside[np.unique(holes[_grown(grown)])] = True
        beside[0] = False
        reached = beside[holes]
        if not grown.any() and not reached.any():
            break
        known |= reached
        even = not even
        if even:
            filled |= reached
    return np.where(filled, np.uint8(0), tones)


def _grown(member: Mask) -> Mask:
    from scipy.ndimage import binary_dilation

    return np.asarray(binary_dilation(member, np.ones((3, 3))))


def take_narrow_out(tones: Tones, width: float) -> Tones:
    """Return the tones without specks, lines and gaps under ``width``; what lies beside them takes their place."""
    from scipy.ndimage import distance_transform_edt

    if width <= 1:
        return tones
    loose = narrow(tones, width)
    if not loose.any() or loose.all():
        return tones
    row, column = distance_transform_edt(loose, return_distances=False, return_indices=True)
    return np.asarray(tones[row, column])


def narrow(tones: Tones, width: float) -> Mask:
    """Return where a tone lies in something narrower than ``width``: what an opening by such a disc takes away."""
    found = np.zeros(tones.shape, dtype=bool)
    for tone in np.unique(tones):
        found |= too_narrow(np.pad(tones == tone, 1, mode="edge"), width)[1:-1, 1:-1]
    return found


def outlines_only(tones: Tones) -> bool:
    """Say whether a drawing is all thin strokes of which some close, so that it could be filled."""
    drawn = tones[::COARSE, ::COARSE] < tones.max()
    thin = narrow((~drawn).astype(np.uint8), THIN * min(drawn.shape)) & drawn
    if thin.sum() < 0.95 * drawn.sum():
        return False
    return bool((fill_closed(tones) != tones).sum() > COARSE**2 * drawn.sum())
