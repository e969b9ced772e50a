"""A job's plain pictures for those who judge by eye: what `filmstrip` and `surviving` draw, from the job alone."""

from __future__ import annotations

from preview.base.arrays import Bytes
from preview.base.units import METRIC, Units
from preview.blade.grind import Side
from preview.blade.surface import face_grid
from preview.job.job import Job
from preview.look.filmstrip import filmstrip
from preview.look.surviving import surviving
from preview.pipeline import ground_of, raster_of

PX_PER_MM = 6.0


def step_pictures(job: Job, units: Units = METRIC) -> Bytes:
    """Return the bar's section after each step; see `preview.look.filmstrip.filmstrip`."""
    return filmstrip(job, ground_of(job), raster_of(job).classes, units)


def surviving_lines(job: Job, side: Side = "right", px_per_mm: float = PX_PER_MM) -> tuple[Bytes, float]:
    """Return which lines of a face survive; see `preview.look.surviving.surviving`."""
    return surviving(job, ground_of(job), raster_of(job), side, face_grid(job.blade.outline, px_per_mm))
