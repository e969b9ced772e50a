"""How the blade looks filled with an insert, its beads burnt out.

Walls, bridges and whatever is too narrow for powder are voids, dark streaks on the blade.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import Any

import numpy as np
import shapely
from shapely.geometry import box

from preview.base.arrays import Bytes, Float32
from preview.base.units import METRIC
from preview.face.face_map import FaceMap, compose_both
from preview.filling.insert import Insert
from preview.job.job import Job
from preview.look.caption import caption
from preview.pattern.coverage import covered
from preview.pattern.pattern import VOID
from preview.pattern.raster import Cells, Raster
from preview.pipeline import find_origins, laid_raster, take_picture

PX_PER_MM = 10.0
"""Pixels in a millimetre: a tenth of one is what a printer's bead keeps to."""

FINEST = 0.1
"""Cells larger than this (mm) are parted before rooms are laid on them."""

WORST = (  # common practice, no published source
    "At worst: streaks are drawn as wide as if the voids stretched with the steel. A hole holds no metal, and closes "
    "in the forging to a seam that is narrower, but stays dark."
)


def as_filled(raster: Raster, made: Insert) -> Raster:
    """Return a pattern as an insert holds it: in each room the one powder that it is filled with, void around them."""
    down, over = (max(1, ceil(side / FINEST - 1e-9)) for side in reversed(raster.cell))
    rows, columns = raster.shares.shape[1] * down, raster.shares.shape[2] * over
    cell = raster.cell[0] / over, raster.cell[1] / down
    corner = -columns * cell[0] / 2, rows * cell[1] / 2

    def share(area: Any) -> Float32:
        return covered(area, (rows, columns), cell, corner)

    # beyond the can's side the pattern goes on, so that nothing dark comes in there
    beyond = 1 - share(box(*(sign * side / 2 for sign in (-1, 1) for side in made.room)))
    shares = raster.shares.repeat(down, axis=1).repeat(over, axis=2) * beyond
    for number in set(made.holds):
        held = [room for room, each in zip(made.rooms, made.holds, strict=True) if each == number]
        shares[number] += share(shapely.union_all(held))
    void = np.clip(1 - shares.sum(axis=0), 0, 1)
    if VOID in raster.classes:
        shares[raster.classes.index(VOID)] += void
        return replace(raster, cells=Cells(raster.classes, shares), cell=cell)
    return replace(raster, cells=Cells((*raster.classes, VOID), np.concatenate([shares, void[None]])), cell=cell)


def insert_faces(job: Job, made: Insert, px_per_mm: float = PX_PER_MM) -> tuple[FaceMap, FaceMap]:
    """Return what stands at each pixel of both faces once an insert has burnt out."""
    return compose_both(find_origins(job, as_filled(laid_raster(job), made)), px_per_mm)


def insert_picture(job: Job, made: Insert) -> Bytes:
    """Return both faces with what an insert leaves, the right one on top, at `PX_PER_MM`: sRGB bytes.

    Under them stands that it is the worst that may come.
    """
    faces = take_picture(job, *insert_faces(job, made), scale_bar=METRIC)
    return np.concatenate([faces, caption(WORST, faces.shape[1], round(2.4 * PX_PER_MM))])
