"""How well a shown picture agrees with the wanted one: areas that overlap, and lines out of place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.results import Mm, Mm2, ShareOf
from preview.base.units import METRIC, Units

FINER = 2
"""Areas are compared on pixels split in two each way and read in between, so that none is just half covered."""

RIM = 2
"""Pixels at the outline's rim whose lines are not compared: there the blade ends, not the pattern."""


@dataclass(frozen=True)
class Agreement:
    """How a face agrees with what was wanted on it.

    Parameters
    ----------
    overlap
        Area bright in both over area bright in either; 1 where both are all dark.
    line_error
        Root mean square distance of the shown edges of bright areas from the wanted ones, mm; None where either
        has none.
    line_error_95
        The distance that 95 in 100 of them keep within, mm.
    wanted_bright, shown_bright
        Bright areas, mm2.
    """

    overlap: ShareOf
    line_error: Mm | None
    line_error_95: Mm | None
    wanted_bright: Mm2
    shown_bright: Mm2

    def words(self, units: Units = METRIC) -> str:
        """Return it in words."""
        if not self.wanted_bright and not self.shown_bright:
            return "nothing bright is wanted on it, and nothing shows"
        words = f"bright areas overlap by {self.overlap:.1%}"
        if self.line_error is not None and self.line_error_95 is not None:
            off, most = (units.length(error, form=".3f") for error in (self.line_error, self.line_error_95))
            words += f", lines lie {off} off as a rule, 95 in 100 within {most}"
        return words


def _lines(share: Array, inner: Mask) -> Array:
    """Return points (n, 2) in pixels along the lines where ``share`` passes a half, those inside ``inner``."""
    from skimage.measure import find_contours

    lines = find_contours(np.asarray(share, dtype=float), 0.5)
    points = np.concatenate([*lines, np.empty((0, 2))])
    row, column = np.rint(points).astype(int).T
    return np.asarray(points[inner[row, column]])


def _finer(share: Array) -> Mask:
    """Return where ``share`` is at least a half, on pixels half as large, read bilinearly."""
    finer: Array = np.asarray(share, dtype=np.float32)
    for axis in range(2):
        finer = np.moveaxis(finer, axis, -1)
        before = np.concatenate([finer[..., :1], finer[..., :-1]], axis=-1)
        after = np.concatenate([finer[..., 1:], finer[..., -1:]], axis=-1)
        halves = np.stack([finer + (before - finer) / 4, finer + (after - finer) / 4], axis=-1)
        finer = np.moveaxis(halves.reshape(*finer.shape[:-1], -1), -1, axis)
    return np.asarray(finer >= 0.5)


def agree(wanted: Array, shown: Array, mask: Mask, px_per_mm: float) -> Agreement:
    """Compare two shares of bright steel, ``(rows, columns)``, over the pixels of ``mask``."""
    from scipy.ndimage import binary_erosion
    from scipy.spatial import cKDTree

    inside = mask.repeat(FINER, axis=0).repeat(FINER, axis=1)
    bright, seen = (_finer(share) & inside for share in (wanted, shown))
    either = int((bright | seen).sum())
    inner = binary_erosion(mask, iterations=RIM)
    there, here = _lines(wanted, inner), _lines(shown, inner)
    error = worst = None
    if len(there) and len(here):
        off = cKDTree(there).query(here)[0] / px_per_mm
        error, worst = float(np.sqrt(np.mean(off**2))), float(np.percentile(off, 95))
    area = (px_per_mm * FINER) ** 2
    return Agreement(
        float((bright & seen).sum()) / either if either else 1.0,
        error,
        worst,
        float(bright.sum()) / area,
        float(seen.sum()) / area,
    )
