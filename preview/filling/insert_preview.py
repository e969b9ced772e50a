"""How the blade looks with an insert's beads burnt out: the voids and dark streaks that walls and bridges leave."""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import Any

import numpy as np

from preview.base.arrays import Bytes
from preview.base.units import METRIC
from preview.face.face_map import FaceMap, compose_both
from preview.filling.insert import Insert
from preview.job.job import Job
from preview.pattern.coverage import covered
from preview.pattern.pattern import VOID
from preview.pattern.raster import Cells, Raster
from preview.pipeline import find_origins, laid_raster, take_picture

PX_PER_MM = 10.0
"""Pixels in a millimetre: a tenth of one is what a printer's bead keeps to."""

FINEST = 0.1
"""Cells larger than this (mm) are parted before beads are laid on them."""


def with_void(raster: Raster, taken: Any) -> Raster:
    """Return a raster with a shapely area (mm, rightwards and upwards of the can's middle) laid on it as void."""
    down, over = (max(1, ceil(side / FINEST - 1e-9)) for side in reversed(raster.cell))
    shares = raster.shares.repeat(down, axis=1).repeat(over, axis=2)
    cell = raster.cell[0] / over, raster.cell[1] / down
    rows, columns = shares.shape[1:]
    void = covered(taken, (rows, columns), cell, (-columns * cell[0] / 2, rows * cell[1] / 2))
    shares = shares * (1 - void)
    if VOID in raster.classes:
        shares[raster.classes.index(VOID)] += void
        return replace(raster, cells=Cells(raster.classes, shares), cell=cell)
    return replace(raster, cells=Cells((*raster.classes, VOID), np.concatenate([shares, void[None]])), cell=cell)


def insert_faces(job: Job, made: Insert, px_per_mm: float = PX_PER_MM) -> tuple[FaceMap, FaceMap]:
    """Return what stands at each pixel of both faces once an insert has burnt out."""
    return compose_both(find_origins(job, with_void(laid_raster(job), made.beads)), px_per_mm)


def insert_picture(job: Job, made: Insert) -> Bytes:
    """Return both faces with what an insert leaves, the right one on top, at `PX_PER_MM`: sRGB bytes."""
    right, left = insert_faces(job, made)
    return np.concatenate([take_picture(job, right), take_picture(job, left, scale_bar=METRIC)])
