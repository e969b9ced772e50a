"""Which lines survive: the parts of a face whose pattern is too fine to be told from grey."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Bytes
from preview.blade.grind import Side
from preview.blade.surface import FaceGrid, face_stand
from preview.face.composition import Ground, sample
from preview.face.measure import FINEST_SEEN
from preview.face.on_face import stretch, stretch_sideways
from preview.job.job import Job
from preview.pattern.fineness import too_fine
from preview.pattern.pattern import Raster, Sampler

BRIGHT, DARK, LOST, PAPER = (214, 214, 210), (70, 70, 74), (213, 94, 0), 236


def surviving(job: Job, ground: Ground, raster: Raster, side: Side, grid: FaceGrid) -> tuple[Bytes, float]:
    """Return a map of a face as the viewer sees it, RGB bytes, and the share of it that is too fine to be seen.

    Bright and dark steel are light and dark; what lies in lines narrower than `preview.face.measure.FINEST_SEEN` on the
    blade is orange.
    """
    along, across = stretch(job, ground)
    scale = (along, across) if job.pattern.dividers == "through" else (stretch_sideways(job, ground), across)
    lost = np.zeros([size + 2 for size in raster.shares.shape[1:]], dtype=bool)
    for powder in job.powders:
        lost |= too_fine(raster, powder.name, scale, FINEST_SEEN)
    bright = sum(
        (raster.shares[raster.classes.index(name)] for name in job.bright_powders),
        start=np.zeros(raster.shares.shape[1:], dtype=np.float32),
    )
    shares = np.stack([np.zeros_like(bright), bright, lost[1:-1, 1:-1].astype(np.float32)])
    packed = Sampler.of(Raster(("dark", "bright", "lost"), shares, raster.cell, 0.0, ()))
    seen = Ground(
        ground.pull_back, ground.blade, ground.grind, packed, ground.dividers, ground.inside, None
    )  # fmt: skip
    bar = job.history.bar
    stand = face_stand(job.blade, job.grind, bar, side, grid.along, grid.across, grid.distance)
    column, row = seen.in_picture(*seen.can_points(side, grid.along, grid.across, stand)[:3])
    is_bright, is_lost = sample(seen, side, grid, np.broadcast_to(column, grid.shape), np.broadcast_to(row, grid.shape))
    colours = np.array(DARK) + is_bright[..., None] * (np.array(BRIGHT) - np.array(DARK))
    colours = colours + is_lost[..., None] * (np.array(LOST) - colours)
    shown = PAPER + grid.coverage[..., None] * (colours - PAPER)
    share = float((is_lost * grid.coverage).sum(dtype=float) / grid.coverage.sum(dtype=float))
    picture = np.rint(shown if side == "right" else shown[:, ::-1]).astype(np.uint8)
    return picture, share
