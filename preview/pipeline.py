"""From a job to its preview: the only place that knows in what order the stages go."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Bytes
from preview.base.cache import kept
from preview.base.errors import RequestError
from preview.base.progress import counted
from preview.base.units import METRIC, Units, mm, say
from preview.blade.grind import SIDES, Grind, Side
from preview.blade.wear import Wear
from preview.face import numbers
from preview.face.face_map import FaceMap, compose, compose_both
from preview.face.origins import Origins, blade_to_can, can_to_blade
from preview.face.view import View, scale_for
from preview.face.wear_numbers import WearNumbers, wear_numbers
from preview.forging.history import pull_back
from preview.job.checks import check_job
from preview.job.job import Job
from preview.job.unsure import Unsure
from preview.look import filmstrip, section, survival, thickness
from preview.look.etch import Etch
from preview.look.fields import face_fields
from preview.look.light import Light
from preview.look.photograph import photograph
from preview.look.section import Section
from preview.look.spine import spine_picture
from preview.look.spots import Spots
from preview.look.worn_away import with_worn_away
from preview.pattern.nickel import Mottled, soften, softening
from preview.pattern.raster import Cells, Raster, read_raster
from preview.pattern.sampler import Sampler

PREVIEW_WIDTH = 1600
"""Width of one face's picture on the page, in pixels; a tang and its handle come on top."""

SURVIVAL_PX_PER_MM = 6.0


def laid_raster(job: Job) -> Raster:
    """Return the pattern as it is laid in the can, before any heat."""
    return read_raster(job.picture_path, job.pattern, job.powders, job.pattern_area)


def find_origins(job: Job, laid: Raster | None = None) -> Origins:
    """Return all that says where a place of the job's ground blade came from; ``laid`` stands for its own pattern."""
    history, laid = job.history, laid or laid_raster(job)
    covariance = softening(history)
    mottled = (
        Mottled(job.seed, powder.particle, tuple(map(tuple, covariance.tolist())))
        for powder in job.powders
        if powder.mottle
    )
    return Origins(
        pull_back=pull_back(history),
        ground=job.ground,
        laid=laid,
        sampler=Sampler(soften(laid, covariance, job.pattern.direction)),
        direction=job.pattern.direction,
        inside=job.can.inside,
        mottle=next(mottled, None),
        moved=None if job.found is None else job.found.moved,
    )


def face_map(job: Job, side: Side, px_per_mm: float) -> FaceMap:
    """Return what stands at each pixel of one face; kept until something other than etch or light changes."""
    return _face_map(looks_aside(job), laid_raster(job).cells, View.of(side, job.blade, px_per_mm))


def looks_aside(job: Job) -> Job:
    """Return ``job`` with its usual etch and light, which change nothing about what stands where."""
    return job.model_copy(update={"title": "", "etch": Etch(), "light": Light(), "unsure": Unsure()})


@kept
def _face_map(job: Job, cells: Cells, view: View) -> FaceMap:  # noqa: ARG001 - another picture is another face
    return compose(find_origins(job), view)


def face_maps(job: Job, px_per_mm: float) -> tuple[FaceMap, FaceMap]:
    """Return what stands at each pixel of the right and the left face; kept likewise."""
    return _face_maps(looks_aside(job), laid_raster(job).cells, px_per_mm)


@kept
def _face_maps(job: Job, cells: Cells, px_per_mm: float) -> tuple[FaceMap, FaceMap]:  # noqa: ARG001
    return compose_both(find_origins(job), px_per_mm)


def take_picture(job: Job, *faces: FaceMap, scale_bar: Units | None = None) -> Bytes:
    """Return faces of the job's blade as the viewer sees them, etched and lit, one below the other.

    A bar of a round length in the units of ``scale_bar`` stands in the last one's corner, if those are given. The
    picture is sRGB bytes ``(rows, columns, 3)``.
    """
    return photograph(faces, job.ground, job.powders, job.etching, job.light, job.seed, scale_bar=scale_bar)


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
    picture
        Both faces on their ground in one picture, the right one on top, as the viewer sees them: sRGB bytes
        ``(rows, columns, 3)``.
    """

    job: Job
    px_per_mm: float
    faces: tuple[FaceMap, FaceMap]
    picture: Bytes

    @property
    def pictures(self) -> tuple[Bytes, Bytes]:
        """The pictures of the right and the left face."""
        right, left = np.split(self.picture, 2)
        return right, left

    def picture_of(self, side: Side) -> Bytes:
        """Return the picture of ``right`` or ``left``."""
        return self.pictures[SIDES.index(side)]

    def view(self, side: Side) -> View:
        """Return the frame of that picture, which leads from its places to the blade's and back."""
        return self.faces[SIDES.index(side)].view

    @cached_property
    def numbers(self) -> numbers.Numbers:
        """What the preview says in numbers; see `preview.face.numbers.Numbers`."""
        job = self.job
        lightness = {powder.name: float(job.etching.lightness(powder.nickel)) for powder in job.powders}
        return numbers.read_numbers(find_origins(job), self.faces, lightness, job.bright_powders)

    def section(self, station: float, px_per_mm: float = 20.0) -> Section:
        """Return the cross-section of the bar and the ground blade at ``station`` (mm from the heel)."""
        job = self.job
        return section.cross_section(find_origins(job), job.powders, job.etching, station, px_per_mm)

    def spine(self) -> Bytes:
        """Return the blade as seen from above its spine; see `preview.look.spine.spine_picture`."""
        job = self.job
        return spine_picture(find_origins(job), job.powders, job.etching, job.light, job.seed, self.px_per_mm)

    def steps(self, units: Units = METRIC) -> Bytes:
        """Return the bar's section after each step; see `preview.look.filmstrip.filmstrip`."""
        return filmstrip.filmstrip(find_origins(self.job), self.job.powders, self.job.etching, units)

    def survival(self, side: Side = "right", px_per_mm: float = SURVIVAL_PX_PER_MM) -> tuple[Bytes, float]:
        """Return which lines of a face survive; see `preview.look.survival.surviving`."""
        job = self.job
        view = View.of(side, job.blade, px_per_mm)
        return survival.surviving(find_origins(job), view, tuple(each.name for each in job.powders), job.bright_powders)

    def thickness(self, units: Units = METRIC) -> bytes:
        """Return how thick the ground blade is, as a PNG; see `preview.look.thickness.thickness_plot`."""
        return thickness.thickness_plot(self.job.ground, units)

    @property
    def spots(self) -> Spots:
        """What leads from a spot of the pictures to the grain in the can, and back."""
        return Spots(find_origins(self.job), self.job.powders, self.job.etching)


def preview(job: Job, *, px_per_mm: float | None = None, width: int = PREVIEW_WIDTH, units: Units = METRIC) -> Preview:
    """Return the preview of a job.

    Parameters
    ----------
    job
        The job, checked.
    px_per_mm
        Resolution; by default such that each face is ``width`` pixels wide.
    width
        Width of a face's picture in pixels where no resolution is given; a tang and its handle come on top, so that
        the steel is as sharp with them as without.
    units
        What the scale bar is in.

    Raises
    ------
    JobError
        If the job's parts do not fit together.
    FileError
        If the pattern picture cannot be read.
    """
    check_job(job)
    scale = px_per_mm or scale_for(job.blade.outline, width)
    faces = face_maps(job, scale)
    return Preview(job, scale, faces, take_picture(job, *faces, scale_bar=units))


@dataclass(frozen=True, eq=False)
class AfterYears:
    """A job's blade once its edge has been sharpened back.

    Parameters
    ----------
    job
        The job.
    numbers
        What is left of it, in numbers.
    faces
        The right and the left face then.
    """

    job: Job
    numbers: WearNumbers
    faces: tuple[FaceMap, FaceMap]

    def picture(self, units: Units = METRIC) -> Bytes:
        """Return both faces in one picture, as of a `Preview`, with what is gone on it; its scale bar is in ``units``.

        See `preview.look.worn_away.with_worn_away`.
        """
        return self._picture(self.faces, units)

    def picture_of(self, side: Side) -> Bytes:
        """Return the picture of ``right`` or ``left`` alone, without a scale bar."""
        return self._picture((self.faces[SIDES.index(side)],), None)

    def _picture(self, faces: tuple[FaceMap, ...], units: Units | None) -> Bytes:
        new = tuple(replace(face, view=replace(face.view, wear=None)) for face in faces)
        after = take_picture(self.job, *faces, scale_bar=units)
        return with_worn_away(after, take_picture(self.job, *new), new, faces, self.job.bright_powders)


def after_years(job: Job, back: float, *, px_per_mm: float | None = None, width: int = PREVIEW_WIDTH) -> AfterYears:
    """Return a job's blade once ``back`` (mm) of its edge are sharpened away; resolution as of `preview`.

    Raises
    ------
    RequestError
        If so much cannot be taken off: less than nothing, or more than half of the blade.
    JobError, FileError
        As `preview`.
    """
    check_job(job)
    outline = job.blade.outline
    most = float(outline.spine(np.array([outline.length / 2]))[0]) / 2
    if not 0 <= back <= most:
        sizes = (mm(most, form=".1f"), mm(back, form="g"))
        raise RequestError.at("sharpened", say("has to be from 0 to {}, half of the blade; given {}", *sizes))
    faces = face_maps(job, px_per_mm or scale_for(outline, width))
    wear = Wear.of(job.ground, back)
    right, left = (replace(face, view=replace(face.view, wear=wear)) for face in faces)
    numbers = wear_numbers(job.ground, faces, (right, left), back, job.bright_powders)
    return AfterYears(job, numbers, (right, left))


def steps_at_a_glance(job: Job) -> Bytes:
    """Return the bar's section after each step, small; kept until something other than grind or light changes.

    See `preview.look.filmstrip.small_strip`.
    """
    aside = {"title": "", "grind": Grind(), "light": Light(), "unsure": Unsure()}
    return _small_strip(job.model_copy(update=aside), laid_raster(job))


@kept
def _small_strip(job: Job, raster: Raster) -> Bytes:  # noqa: ARG001 - a new raster is a new section
    return filmstrip.small_strip(find_origins(job), job.powders, job.etching)


def trace(job: Job, points: Array, *, reverse: bool = False) -> Array:
    """Carry blade points (..., 3) in mm to where they lay in the can, or with ``reverse`` the other way.

    Points off the metal become NaN. The direct map is used, not its table.
    """
    return (can_to_blade if reverse else blade_to_can)(job.ground, job.history, points)


def fields(job: Job, px_per_mm: float) -> dict[str, NDArray[Any]]:
    """Return the raw arrays of both faces, those the pictures are made from.

    Each name has a ``right_`` or ``left_`` prefix; arrays are ``(rows, columns)`` as the viewer sees the face
    (edge down; tip to the right on the right face, to the left on the left one): ``along``, ``across``,
    ``through`` (blade, mm), ``can_along``, ``can_across``, ``can_up`` (mm, NaN off the metal), ``mask`` (on the
    blade), ``powder`` (index; -1 shell, -2 void), ``nickel`` (mass per cent), ``tone`` (linear reflectance),
    ``normal`` (``(rows, columns, 3)``, unit vectors, blade frame).
    """
    check_job(job)
    origins = find_origins(job)
    return {
        f"{face.side}_{name}": face.view.seen(values)
        for face in counted("the arrays", face_maps(job, px_per_mm))
        for name, values in face_fields(origins, job.powders, job.etching, face).items()
    }
