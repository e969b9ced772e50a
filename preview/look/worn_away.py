"""A sharpened blade over what it was: the steel that is gone pale, the bright pattern that went with it tinted."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Bytes, Float32
from preview.face.face_map import FaceMap

TINT = (255.0, 134.0, 56.0)
"""Colour of bright pattern that is gone, sRGB: that of the rings."""

STILL, STILL_TINTED = 0.3, 0.55
"""How much of the steel that is gone still shows over the ground, and of the tint (chosen by eye)."""


def with_worn_away(
    after: Bytes, before: Bytes, faces: tuple[FaceMap, ...], worn: tuple[FaceMap, ...], bright: tuple[str, ...]
) -> Bytes:
    """Return a picture of faces ``after`` some sharpening, with what they were ``before`` faintly on it.

    Both are sRGB bytes ``(rows, columns, 3)``; ``faces`` are those of ``before``, ``worn`` those of ``after``, and
    ``bright`` names powders.
    """
    each = [_gone(new, old, bright) for new, old in zip(faces, worn, strict=True)]
    gone, tinted = (np.concatenate(both) for both in zip(*each, strict=True))
    tinted *= gone
    plain = STILL * (gone - tinted)[..., None]
    colour = STILL_TINTED * tinted[..., None]
    shown = after * (1 - plain - colour) + before * plain + np.array(TINT, dtype=np.float32) * colour
    return np.asarray(np.rint(shown).astype(np.uint8))


def _gone(new: FaceMap, worn: FaceMap, bright: tuple[str, ...]) -> tuple[Float32, Float32]:
    """Return how much of each pixel of the picture is gone, and what share of its steel is bright."""
    gone = new.view.framed(new.grid.shown - worn.grid.shown, 0)
    return gone, new.view.framed(new.share_of(bright), 0)
