"""The same blade at several grinds: what each shows, what going deeper takes away, and in which order to go.

Steel never comes back. A grind can follow another only where it takes metal off and puts none on, so the trials
have an order, and some close the way to others.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Bytes
from preview.base.errors import Fault, JobError, RequestError
from preview.base.progress import counted
from preview.base.settings import Angle, PositiveLength, Settings
from preview.base.units import METRIC, Sentence, Units, mm, say
from preview.blade.grind import Side
from preview.blade.grinds import GRIND_KINDS, Bevel, GroundKind
from preview.face.face_map import FaceMap
from preview.face.numbers import FINEST_SEEN, FaceNumbers, read_face
from preview.face.stretch import motif_off, picture_stretch
from preview.face.view import RIM, scale_for
from preview.job.checks import check_job
from preview.job.job import Job
from preview.pattern.fineness import fineness
from preview.pattern.powders import STEEL_DENSITY
from preview.pipeline import face_map, find_origins, take_picture
from preview.trials.grind_line import Crossing, draw_line, find_crossing

MOST = 12
WIDTH = 900
"""Width of a trial's picture in pixels: up to three stand side by side on a screen, two on paper."""


class TrialGrinds(Settings):
    """Grinds to try, one of: ``heights`` in mm, ``angles`` in degrees a side, or ``kinds`` at the job's own height.

    ``face`` is the one that is looked at; the other is ground alike unless the job grinds it differently.
    """

    heights: Annotated[tuple[PositiveLength, ...], Field(max_length=MOST)] = ()
    angles: Annotated[tuple[Annotated[Angle, Field(gt=0, lt=60)], ...], Field(max_length=MOST)] = ()
    kinds: Annotated[tuple[GroundKind, ...], Field(max_length=MOST)] = ()
    face: Side = "right"

    @model_validator(mode="after")
    def _one_list(self) -> TrialGrinds:
        if sum(map(bool, (self.heights, self.angles, self.kinds))) != 1:
            msg = "one of heights, angles and kinds is needed"
            raise ValueError(msg)
        return self

    def bevels(self, bevel: Bevel) -> list[tuple[Sentence, Bevel]]:
        """Return each trial's name and bevel, made from the job's own ``bevel``."""
        if self.heights:
            return [(say("{}", mm(h, form="g")), bevel.at_height(h)) for h in self.heights]
        if self.angles:
            return [(say("{}°", f"{a:g}"), bevel.at_angle(a)) for a in self.angles]
        return [(say("{}", kind), bevel.as_kind(GRIND_KINDS[kind])) for kind in self.kinds]


@dataclass(frozen=True, eq=False)
class Trial:
    """One grind that was tried.

    Parameters
    ----------
    name
        What sets it apart.
    job
        The job with this grind.
    face
        What stands at each pixel of the face that is looked at.
    picture
        That face, as a preview shows it.
    numbers
        What it shows; see `preview.face.numbers.FaceNumbers`.
    finest
        Finest width of the bright powders on the blade, mm.
    motif_off
        Share of the bright pattern that is not on the face; None for dividers along the blade.
    ground_off
        Steel ground off this face from the unground blade, grams.
    crossing
        How its grind line lies to the bright parts.
    """

    name: Sentence
    job: Job
    face: FaceMap
    picture: Bytes
    numbers: FaceNumbers
    finest: float
    motif_off: float | None
    ground_off: float
    crossing: Crossing

    def of_blade(self, *, lined: bool) -> Bytes:
        """Return its picture without what lies behind the heel, the grind line drawn thin on it if it is ``lined``."""
        picture, (rows, columns) = self.picture.copy(), self.face.view.inside
        if lined:
            picture[rows, columns] = draw_line(picture[rows, columns], self.job.ground, self.face)
        rim = round(RIM * self.face.grid.px_per_mm)
        return picture[:, max(columns.start - rim, 0) : columns.stop + rim]

    def rows(self, units: Units = METRIC) -> list[tuple[str, str]]:
        """Return its numbers as pairs of a name and a value with its unit."""
        heel, middle, tip = self.numbers.stations
        lines = " / ".join(self._line(place.along, place.height, units) for place in self.numbers.stations)
        slide = self.numbers.slide_on_blade
        rows = [
            ("angle, heel / middle / tip", f"{heel.angle:.1f} / {middle.angle:.1f} / {tip.angle:.1f} °"),
            ("grind line, heel / middle / tip", lines),
            ("it runs", self.crossing.words(units)),
            ("stays bright", f"{self.numbers.bright_share:.0%}"),
            ("finest line", "none" if np.isnan(self.finest) else units.length(self.finest, form=".2f")),
            (
                "pattern slides",
                f"{units.length(abs(self.numbers.slide), form='.2f')} in the can"
                if slide is None
                else units.length(abs(slide), form=".1f"),
            ),
            ("ground off this face", f"{self.ground_off:.1f} g"),
        ]
        if self.motif_off is not None:
            rows.append(("pattern not on it", f"{self.motif_off:.0%}"))
        return rows

    def _line(self, along: float, height: float, units: Units) -> str:
        """Return how high the grind line stands at a place, from the edge; or that the bevel has run out there."""
        outline, place = self.job.blade.outline, np.array([along])
        reach = float(outline.edge_distance(place, outline.spine(place))[0])
        return units.length(height, form=".1f") if height < reach - 0.05 else "to the spine"


@dataclass(frozen=True, eq=False)
class Tried:
    """What came of trying grinds: a trial of each that this blade allows, and why the others were left out."""

    trials: tuple[Trial, ...]
    left_out: tuple[Sentence, ...]


def try_grinds(job: Job, grinds: TrialGrinds, *, width: int = WIDTH) -> Tried:
    """Return a trial of each grind, all at one scale and in one light; those that cannot be ground are left out.

    Raises
    ------
    RequestError
        If none can be ground on this blade: why, for each in its place of the list.
    """
    side = grinds.face
    own = job.grind.bevel(side)
    if not own.is_ground:
        raise RequestError.at("trials.face", f"the {side} face is not ground; the other one is needed")
    listed = "heights" if grinds.heights else "angles" if grinds.angles else "kinds"
    trials, left_out, faults = [], [], []
    for number, (name, bevel) in enumerate(counted("trial grinds", grinds.bevels(own))):
        tried = _with_bevel(job, side, bevel)
        try:
            trials.append(_trial(name, check_job(tried), side, width))
        except JobError as error:
            problem = error.faults[0].problem
            faults.append(Fault(f"trials.{listed}[{number}]", say("{}: {}", name, problem)))
            left_out.append(say("{} is left out: {}.", name, problem))
    if not trials:
        raise RequestError(faults)
    return Tried(tuple(trials), tuple(left_out))


def _with_bevel(job: Job, side: Side, bevel: Bevel) -> Job:
    """Return ``job`` with one face's bevel changed, and the other's where both are ground alike."""
    which = "left" if side == "left" and job.grind.left else "right"
    return job.model_copy(update={"grind": job.grind.model_copy(update={which: bevel})})


def _trial(name: Sentence, job: Job, side: Side, width: int) -> Trial:
    scale = scale_for(job.blade.outline, width)
    face, origins = face_map(job, side, scale), find_origins(job)
    on_blade = picture_stretch(origins)
    finest = [fineness(origins.laid, powder, on_blade, FINEST_SEEN)[0] for powder in job.bright_powders]
    unground = job.ground.unground(face.grid.along) / 2
    volume = float(((unground - face.stand) * face.grid.coverage).sum(dtype=float)) / scale**2
    return Trial(
        name=name,
        job=job,
        face=face,
        picture=take_picture(job, face),
        numbers=read_face(origins, face, job.bright_powders),
        finest=min(finest, default=float("nan")),
        motif_off=motif_off(origins, job.bright_powders, side),
        ground_off=volume / 1000 * STEEL_DENSITY,
        crossing=find_crossing(job.ground, face, job.bright_powders),
    )


def coming_down(job: Job, side: Side = "right", *, frames: int = 16, width: int = 800) -> tuple[Bytes, ...]:
    """Return pictures of the bevel coming down, from a low one to the job's own, RGB bytes ``(rows, columns, 3)``."""
    bevel = job.grind.bevel(side)
    middle = np.array([job.blade.outline.length / 2])
    line = float(min(job.ground.bevel(side, middle).height[0], job.blade.outline.height))
    shown = [_with_bevel(job, side, bevel.lowered(number / frames, line)) for number in range(1, frames)]
    scale = scale_for(job.blade.outline, width)
    steps = counted("the bevel coming down", (*shown, job))
    return tuple(take_picture(each, face_map(each, side, scale)) for each in steps)
