"""From a job to its preview: the only place that knows in what order the stages go."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Bytes
from preview.blade.grind import Side
from preview.blade.surface import face_grid
from preview.face import measure
from preview.face.composition import FaceMap, Ground, compose, compose_both
from preview.forging.history import pull_back
from preview.job.job import Job, check_job
from preview.job.unsure import Unsure
from preview.look import section
from preview.look.etch import Etch
from preview.look.fields import face_fields
from preview.look.light import Light
from preview.look.photograph import MARGIN, photograph
from preview.look.section import Section
from preview.pattern.nickel import mottle, soften, softening
from preview.pattern.pattern import Raster, Sampler, read_raster

PREVIEW_WIDTH = 1600
"""Width of one face's picture on the page, in pixels."""


def raster_of(job: Job) -> Raster:
    """Return the pattern as it lies in the can, nickel softened by the job's heats."""
    raster = read_raster(job.picture_path, job.pattern, job.powders, job.pattern_area)
    return _softened(raster, job.history, job.pattern.dividers)


@lru_cache(maxsize=4)
def _softened(raster: Raster, history: Any, dividers: str) -> Raster:
    return soften(raster, softening(history), dividers)


@lru_cache(maxsize=4)
def _sampler(raster: Raster) -> Sampler:
    return Sampler.of(raster)


def ground_of(job: Job) -> Ground:
    """Return all that says where a pixel of the job's ground blade came from."""
    history = job.history
    texture = None
    mottled = [powder for powder in job.powders if powder.mottle]
    if mottled:
        covariance = tuple(map(tuple, softening(history).tolist()))
        particle = mottled[0].particle
        texture = (mottle(job.seed, particle, covariance), particle)
    return Ground(
        pull_back=pull_back(history),
        blade=job.blade,
        grind=job.grind,
        sampler=_sampler(raster_of(job)),
        dividers=job.pattern.dividers,
        inside=job.can.inside,
        mottle=texture,
    )


def face_map(job: Job, side: Side, px_per_mm: float) -> FaceMap:
    """Return what stands at each pixel of one face; kept until something other than etch or light changes."""
    return _face_map(_looks_aside(job), raster_of(job), side, px_per_mm)


def _looks_aside(job: Job) -> Job:
    """Return ``job`` with its usual etch and light, which change nothing about what stands where."""
    return job.model_copy(update={"title": "", "etch": Etch(), "light": Light(), "unsure": Unsure()})


@lru_cache(maxsize=4)
def _face_map(job: Job, raster: Raster, side: Side, px_per_mm: float) -> FaceMap:  # noqa: ARG001
    return compose(ground_of(job), side, face_grid(job.blade.outline, px_per_mm))


def face_maps(job: Job, px_per_mm: float) -> tuple[FaceMap, FaceMap]:
    """Return what stands at each pixel of the right and the left face; kept likewise."""
    return _face_maps(_looks_aside(job), raster_of(job), px_per_mm)


@lru_cache(maxsize=4)
def _face_maps(job: Job, raster: Raster, px_per_mm: float) -> tuple[FaceMap, FaceMap]:  # noqa: ARG001
    return compose_both(ground_of(job), face_grid(job.blade.outline, px_per_mm))


@dataclass(frozen=True, eq=False)
class Preview:
    """Both faces of a job's blade.

    Parameters
    ----------
    job
        What was asked for.
    px_per_mm
        Resolution of the pictures.
    faces
        What stands at each pixel of the right and the left face.
    pictures
        The right and the left face on their ground, sRGB grey bytes ``(rows, columns)``, as the viewer sees them.
    """

    job: Job
    px_per_mm: float
    faces: tuple[FaceMap, FaceMap]
    pictures: tuple[Bytes, Bytes]

    @property
    def picture(self) -> Bytes:
        """Both faces in one picture, the right one on top: sRGB grey bytes ``(rows, columns)``."""
        return np.concatenate(self.pictures)

    @cached_property
    def numbers(self) -> measure.Numbers:
        """What the preview says in numbers; see `preview.face.measure.Numbers`."""
        return measure.numbers(self.job, ground_of(self.job), raster_of(self.job), self.faces)


def preview(job: Job, *, px_per_mm: float | None = None, width: int = PREVIEW_WIDTH) -> Preview:
    """Return the preview of a job.

    Parameters
    ----------
    job
        The job, checked.
    px_per_mm
        Resolution; by default such that each face is ``width`` pixels wide.
    width
        Width of a face's picture in pixels where no resolution is given.

    Raises
    ------
    JobError
        If the job's parts do not fit together.
    FileError
        If the pattern picture cannot be read.
    """
    check_job(job)
    scale = px_per_mm or width / (job.blade.outline.length + 2 * MARGIN)
    faces = face_maps(job, scale)
    classes = raster_of(job).classes
    right, left = (
        photograph(face, job.powders, classes, job.etching, job.light, job.seed, scale_bar=face.side == "left")
        for face in faces
    )
    return Preview(job, scale, faces, (right, left))


def trace(job: Job, points: Array, *, reverse: bool = False) -> Array:
    """Carry blade points (..., 3) in mm to where they lay in the can, or with ``reverse`` the other way.

    Points off the metal become NaN. The direct map is used, not its table.
    """
    bar, history = job.history.bar, job.history
    if reverse:
        moved = history.can_to_bar(points)
        x, y, z = np.moveaxis(moved, -1, 0)
        return np.stack(job.blade.bar_to_blade(x, y, z, bar), axis=-1)
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    return history.bar_to_can(np.stack(job.blade.blade_to_bar(x, y, z, bar), axis=-1))


def fields(job: Job, px_per_mm: float) -> dict[str, NDArray[Any]]:
    """Return the raw arrays of both faces, those the pictures are made from.

    Each name has a ``right_`` or ``left_`` prefix; arrays are ``(rows, columns)`` as the viewer sees the face
    (edge down; tip to the right on the right face, to the left on the left one): ``along``, ``across``,
    ``through`` (blade, mm), ``can_along``, ``can_across``, ``can_up`` (mm, NaN off the metal), ``mask`` (on the
    blade), ``powder`` (index; -1 shell, -2 void), ``nickel`` (mass per cent), ``tone`` (linear reflectance),
    ``normal`` (``(rows, columns, 3)``, unit vectors, blade frame).
    """
    check_job(job)
    ground, raster = ground_of(job), raster_of(job)
    arrays: dict[str, NDArray[Any]] = {}
    for face in face_maps(job, px_per_mm):
        for name, values in face_fields(ground, job.powders, raster.classes, job.etching, face).items():
            arrays[f"{face.side}_{name}"] = values if face.side == "right" else values[:, ::-1]
    return arrays


def cross_section(job: Job, station: float, px_per_mm: float = 20.0) -> Section:
    """Return the cross-section of the bar and the ground blade at ``station`` (mm from the heel)."""
    check_job(job)
    return section.cross_section(ground_of(job), job.powders, raster_of(job).classes, job.etching, station, px_per_mm)
