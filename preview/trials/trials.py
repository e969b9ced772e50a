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
from preview.base.errors import JobError, RequestError
from preview.base.progress import counted
from preview.base.settings import Angle, PositiveLength, Settings
from preview.base.units import Sentence, mm, say
from preview.blade.grind import Side
from preview.blade.grinds import GRIND_KINDS, Bevel, GroundKind
from preview.face.face_map import FaceMap
from preview.face.numbers import FINEST_SEEN, FaceNumbers, read_face
from preview.face.stretch import motif_off, picture_stretch
from preview.face.view import scale_for
from preview.job.job import Job, check_job
from preview.pattern.fineness import fineness
from preview.pattern.powders import STEEL_DENSITY
from preview.pipeline import face_map, find_origins, take_picture

MOST = 12
WIDTH = 900
"""Width of a trial's picture in pixels: two stand side by side on a screen, or on paper."""
TOUCH = 1e-4
"""Metal (mm) by which a grind may stand proud of an earlier one and still follow it: nothing a hand can tell."""


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
    """

    name: Sentence
    job: Job
    face: FaceMap
    picture: Bytes
    numbers: FaceNumbers
    finest: float
    motif_off: float | None
    ground_off: float


def try_grinds(job: Job, grinds: TrialGrinds, *, width: int = WIDTH) -> tuple[Trial, ...]:
    """Return a trial of each grind, all at one scale and in one light.

    Raises
    ------
    RequestError
        If a grind cannot be ground on this blade, with its place in the list.
    """
    side = grinds.face
    own = job.grind.bevel(side)
    if not own.is_ground:
        raise RequestError.at("trials.face", f"the {side} face is not ground; the other one is needed")
    listed = "heights" if grinds.heights else "angles" if grinds.angles else "kinds"
    trials = []
    for number, (name, bevel) in enumerate(counted("trial grinds", grinds.bevels(own))):
        tried = _with_bevel(job, side, bevel)
        try:
            trials.append(_trial(name, check_job(tried), side, width))
        except JobError as error:
            problem = say("{}: {}", name, error.faults[0].problem)
            where = f"trials.{listed}[{number}]"
            raise RequestError.at(where, problem) from None
    return tuple(trials)


def _with_bevel(job: Job, side: Side, bevel: Bevel) -> Job:
    """Return ``job`` with one face's bevel changed, and the other's where both are ground alike."""
    which = "left" if side == "left" and job.grind.left else "right"
    return job.model_copy(update={"grind": job.grind.model_copy(update={which: bevel})})


def _trial(name: Sentence, job: Job, side: Side, width: int) -> Trial:
    scale = scale_for(job.blade.outline, width)
    face, origins = face_map(job, side, scale), find_origins(job)
    on_blade = picture_stretch(origins)
    raster = origins.sampler.raster
    finest = [fineness(raster, powder, on_blade, FINEST_SEEN)[0] for powder in job.bright_powders]
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
    )


@dataclass(frozen=True)
class Ladder:
    """The order in which to go.

    Parameters
    ----------
    rungs
        Numbers of the trials, from 0, shallowest first: the longest way on which each can follow the one before.
    open_after
        For each trial, those that can still follow it.
    off
        Trials that are not on the ladder: going there closes the way to some of its rungs.
    """

    rungs: tuple[int, ...]
    open_after: tuple[tuple[int, ...], ...]
    off: tuple[int, ...]


def ladder(trials: tuple[Trial, ...]) -> Ladder:
    """Return the grind ladder of ``trials``."""
    order = sorted(range(len(trials)), key=lambda number: trials[number].ground_off)
    follows = {
        (one, other): one != other and _can_follow(trials[one].face, trials[other].face)
        for one in order
        for other in order
    }
    # the longest chain, counted from its deepest end
    best: dict[int, list[int]] = {}
    for one in reversed(order):
        after = [best[other] for other in order if other in best and follows[one, other]]
        best[one] = [one, *max(after, key=len, default=[])]
    rungs = max((best[one] for one in order), key=len, default=[])
    open_after = tuple(tuple(o for o in order if follows[n, o]) for n in range(len(trials)))
    return Ladder(tuple(rungs), open_after, tuple(number for number in order if number not in rungs))


def _can_follow(first: FaceMap, then: FaceMap) -> bool:
    """Say whether ``then`` can be ground from ``first``: it stands proud of it nowhere, and deeper somewhere."""
    proud = np.where(first.grid.mask, then.stand - first.stand, 0)
    return bool(proud.max() <= TOUCH and proud.min() < -TOUCH)


@dataclass(frozen=True, eq=False)
class Taken:
    """What going from one grind to a deeper one changes.

    Parameters
    ----------
    rgb
        A map of the face as the viewer sees it, ``(rows, columns, 3)`` bytes, in `LEGEND`'s colours.
    lost, gained
        Bright areas that go, and that come, mm2.
    ground_off
        Steel ground off on the way, grams.
    """

    rgb: Bytes
    lost: float
    gained: float
    ground_off: float


LEGEND = {
    "stays dark": (58, 58, 62),
    "stays bright": (222, 222, 218),
    "bright that goes": (213, 94, 0),
    "bright that comes": (86, 180, 233),
}
"""Colours of the map, told apart without red and green (Okabe and Ito's set, quoted from memory)."""


def taken(first: Trial, then: Trial) -> Taken:
    """Return what going from ``first`` to ``then`` changes on the face."""
    grid = first.face.grid
    before, after = (each.face.share_of(each.job.bright_powders) >= 0.5 for each in (first, then))
    mask = grid.mask
    colours = np.array([*LEGEND.values()], dtype=np.float32)
    which = np.where(before & after, 1, np.where(before, 2, np.where(after, 3, 0)))
    ground = np.float32(236)
    cover = grid.coverage[..., None]
    rgb = np.rint(ground + (colours[which] - ground) * cover).astype(np.uint8)
    rgb = first.face.view.framed(rgb, 236)
    area = grid.px_per_mm**2
    return Taken(
        rgb,
        float((before & ~after & mask).sum()) / area,
        float((after & ~before & mask).sum()) / area,
        then.ground_off - first.ground_off,
    )


def coming_down(job: Job, side: Side = "right", *, frames: int = 16, width: int = 800) -> tuple[Bytes, ...]:
    """Return pictures of the bevel coming down, from a low one to the job's own, grey bytes ``(rows, columns)``."""
    bevel = job.grind.bevel(side)
    middle = np.array([job.blade.outline.length / 2])
    line = float(min(job.ground.bevel(side, middle).height[0], job.blade.outline.height))
    shown = [_with_bevel(job, side, bevel.lowered(number / frames, line)) for number in range(1, frames)]
    scale = scale_for(job.blade.outline, width)
    steps = counted("the bevel coming down", (*shown, job))
    return tuple(take_picture(each, face_map(each, side, scale)) for each in steps)
