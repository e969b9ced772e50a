"""Which lines survive: the parts of a face whose pattern is too fine to be told from grey."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.base.arrays import Bytes
from preview.face.face_map import compose
from preview.face.numbers import FINEST_SEEN
from preview.face.origins import Origins
from preview.face.stretch import picture_stretch
from preview.face.view import View
from preview.pattern.fineness import too_fine
from preview.pattern.raster import Cells
from preview.pattern.sampler import Sampler

BRIGHT, DARK, LOST, PAPER = (214, 214, 210), (70, 70, 74), (213, 94, 0), 236


def surviving(origins: Origins, view: View, powders: tuple[str, ...], bright: tuple[str, ...]) -> tuple[Bytes, float]:
    """Return a map of a face as the viewer sees it, RGB bytes, and the share of it that is too fine to be seen.

    Bright and dark steel are light and dark; what of the ``powders`` lies in lines narrower than
    `preview.face.numbers.FINEST_SEEN` on the blade is orange.
    """
    scale = picture_stretch(origins)
    lost = np.any([too_fine(origins.laid, name, scale, FINEST_SEEN)[1:-1, 1:-1] for name in powders], axis=0)
    raster = origins.sampler.raster
    steel = raster.share_of(bright)
    shares = np.stack([np.zeros_like(steel), steel, lost.astype(np.float32)])
    sorted_out = Sampler(replace(raster, cells=Cells(("dark", "bright", "lost"), shares)))
    is_bright, is_lost = compose(replace(origins, sampler=sorted_out, mottle=None), view).shares
    colours = np.array(DARK) + is_bright[..., None] * (np.array(BRIGHT) - np.array(DARK))
    colours = colours + is_lost[..., None] * (np.array(LOST) - colours)
    coverage = view.grid.coverage
    shown = PAPER + coverage[..., None] * (colours - PAPER)
    share = float((is_lost * coverage).sum(dtype=float) / coverage.sum(dtype=float))
    return np.rint(view.seen(shown)).astype(np.uint8), share
