"""A job's plain pictures for those who judge by eye: what `filmstrip` and `surviving` draw, from the job alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.filmstrip import filmstrip
from preview.grind import Side
from preview.job import Job
from preview.pipeline import ground_of, raster_of
from preview.surface import face_grid
from preview.surviving import surviving
from preview.units import METRIC, Units

PX_PER_MM = 6.0


def step_pictures(job: Job, units: Units = METRIC) -> NDArray[np.uint8]:
    """Return the bar's section after each step; see `preview.filmstrip.filmstrip`."""
    return filmstrip(job, ground_of(job), raster_of(job).classes, units)


def surviving_lines(job: Job, side: Side = "right", px_per_mm: float = PX_PER_MM) -> tuple[NDArray[np.uint8], float]:
    """Return which lines of a face survive; see `preview.surviving.surviving`."""
    return surviving(job, ground_of(job), raster_of(job), side, face_grid(job.blade.outline, px_per_mm))
