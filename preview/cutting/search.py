"""The search for the place in the bar, and the grind, at which a motif's parts most likely come out whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError, RequestError
from preview.base.results import Degrees, Mm, ShareOf
from preview.base.units import mm, say
from preview.blade.blade import Placement
from preview.cutting.chances import ComeOut, Draws
from preview.cutting.cut import Cut
from preview.cutting.parts import Part
from preview.cutting.room import Room
from preview.job.checks import check_job
from preview.job.job import Job

RIM = 1.0
"""Steel (mm) left for the saw between the blade and the bar's ends and sides."""
ON_FACES = 0.1
"""Steel (mm) left on each face of the blade to be ground off, where the search chooses how it lies through the bar."""
FEW = 256
"""Draws that are enough to search by."""
STEPS = (0.5, 0.25)
"""Between two places that are looked at, mm, along and across."""
LEVELS, HEIGHTS = 3, 5
"""Mid-planes that are tried, and heights or angles."""
SEEDS, ROUNDS = 3, 3
"""Places that each grind and lie of the bar goes on with, and how often one is bettered."""
APART = (5.0, 1.0, 1.0)
"""How far apart (mm) places are, along, across or through, for both to be told."""
EFFORT = (1e-4, 1e-3, 2e-2)
"""What a place loses of its score for each mm that it lies off the middle of the bar, along, across and through: of
equals, the nearest one is taken."""
LEFT_OUT = 0.5
"""Chance of being whole under which a part counts as left out."""
BETTER = 0.01
"""By how much a chance has to be better to be called so: what 2000 draws are good for."""


@dataclass(frozen=True, eq=False)
class Place:
    """The blade at one place in the bar, with one grind.

    Parameters
    ----------
    job
        It as a job.
    off
        How far off the bar's middle it lies, towards the tip and towards the spine, mm.
    height, angle
        Of that face's bevel at mid-length, mm and degrees.
    chances
        How likely each part comes out whole.
    all_whole
        How likely all do.
    weighted
        The parts' chances, each by its weight.
    in_steel
        How likely the whole blade lies in the bar at all, which the chances count already.
    """

    job: Job
    off: tuple[Mm, Mm]
    height: Mm
    angle: Degrees
    chances: tuple[ShareOf, ...]
    all_whole: ShareOf
    weighted: ShareOf
    in_steel: ShareOf

    @property
    def motif(self) -> float:
        """How likely the motif comes out whole: the mean of that of all its parts, and of each by its weight."""
        return (self.all_whole + self.weighted) / 2

    @property
    def score(self) -> float:
        """What the search makes as large as it can: the chance of a blade and that of its motif, less effort.

        A smith wants a blade, and then its motif: a place is worth it that costs a blade less often than it gives a
        motif.
        """
        return round(self.in_steel + self.motif - effort(self.off, self.job.blade.placement.mid_plane), 3)

    @property
    def left_out(self) -> tuple[bool, ...]:
        """Which parts are left out: cut more often than whole, of the times that the blade lies in the steel."""
        return tuple(chance < LEFT_OUT * self.in_steel for chance in self.chances)

    def beats(self, other: Place) -> bool:
        """Say whether it is better than another by more than the draws' own scatter."""
        return self.score - other.score > BETTER


def effort(off: tuple[float, float], level: float) -> float:
    """Return what a place loses of its score for lying off the middle of the bar; see `EFFORT`."""
    return sum(each * abs(far) for each, far in zip(EFFORT, (*off, level), strict=True))


def at_middle(job: Job) -> Job:
    """Return ``job`` with its blade in the bar's middle, the bar as it was forged."""
    return _laid(job, Placement())


def _laid(job: Job, placement: Placement) -> Job:
    return job.model_copy(update={"blade": job.blade.model_copy(update={"placement": placement})})


def off_middle(job: Job) -> tuple[float, float]:
    """Return how far off the bar's middle the blade lies, towards the tip and towards the spine, mm."""
    bar = job.history.bar
    here, middle = (each.blade.corner(bar) for each in (job, at_middle(job)))
    return round(here[0] - middle[0], 6), round(here[1] - middle[1], 6)


@dataclass(frozen=True, eq=False)
class Search:
    """What stays the same while places are looked at."""

    job: Job
    cut: Cut
    parts: tuple[Part, ...]
    room: Room
    draws: Draws

    def variants(self) -> Iterator[Job]:
        """Yield the job with each grind, mid-plane and lie of the bar, in the middle of what is allowed."""
        now, bar = self.job.blade.placement, self.job.history.bar
        loose = max((bar.thickness - (self.job.blade.thickness or bar.thickness)) / 2 - ON_FACES, 0.0)
        levels = sorted({now.mid_plane, *np.round(np.linspace(-loose, loose, LEVELS), 2).tolist()})
        turned, mirrored = (
            {own, own != may} for own, may in ((now.turned, self.cut.turned), (now.mirrored, self.cut.mirrored))
        )
        along, across = self.limits()
        middle = float(np.clip(0.0, *along)), float(np.clip(0.0, *across))
        any_ground = False
        for grind in self.grinds():
            for level in levels:
                for lie in ((one, other) for one in sorted(turned) for other in sorted(mirrored)):
                    place = Placement(off=middle, mid_plane=level, turned=lie[0], mirrored=lie[1])
                    try:
                        yield check_job(_laid(grind, place))
                    except JobError:
                        continue
                    any_ground = True
        if not any_ground:
            raise RequestError.at("place", "nothing within the limits can be ground on this blade")

    def grinds(self) -> Iterator[Job]:
        """Yield the job with each grind that is allowed, its own first where that is among them."""
        ends, cut, grind = self.cut.heights or self.cut.angles, self.cut, self.job.grind
        if ends is None:
            yield self.job
            return
        bevel = grind.bevel(cut.face)
        if not bevel.is_ground:
            raise RequestError.at("place.face", f"the {cut.face} face is not ground; the other one is needed")
        if self.own_grind:
            yield self.job
        which = "left" if cut.face == "left" and grind.left else "right"
        for value in np.unique(np.round(np.linspace(*ends, HEIGHTS), 2)).tolist():
            ground = bevel.at_height(value) if cut.heights else bevel.at_angle(value)
            yield self.job.model_copy(update={"grind": grind.model_copy(update={which: ground})})

    @property
    def own_grind(self) -> bool:
        """Whether the job's own grind is among those that are allowed."""
        cut, bevel = self.cut, self.job.grind.bevel(self.cut.face)
        ends = cut.heights or cut.angles
        if ends is None or not bevel.is_ground:
            return ends is None
        height, angle = self.job.ground.mid_grind(cut.face, bevel)
        return ends[0] - 1e-6 <= (height if cut.heights else angle) <= ends[1] + 1e-6

    def limits(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return how far off the middle the blade may lie, along and across, mm: its tang has to fit as well.

        Where nothing is asked for, it keeps `RIM` from the bar's ends and sides, as far as there is so much room.
        """
        blade, bar = self.job.blade, self.job.history.bar
        (back, ahead), sides = blade.room(bar)
        back = min(back + blade.outline.tang_length, ahead, 0.0)
        found = []
        for name, room in (("along", (back, ahead)), ("across", sides)):
            asked = getattr(self.cut, name) or (min(room[0] + RIM, 0.0), max(room[1] - RIM, 0.0))
            if asked[0] > room[1] + 1e-9 or asked[1] < room[0] - 1e-9:
                told = (mm(*each, form=".1f", between=" to ") for each in (room, asked))
                raise RequestError.at("place", say("the bar lets the blade lie {} off its middle; given {}", *told))
            found.append((max(asked[0], room[0]), min(asked[1], room[1])))
        return found[0], found[1]

    def seeds(self, variant: Job) -> list[tuple[float, Job]]:
        """Return the best places of a grind and lie of the bar, each with its score, as far as sliding it shows."""
        scores, along, across = self._slid(variant, *self.limits())
        found = []
        for _ in range(SEEDS):
            row, column = np.unravel_index(int(scores.argmax()), scores.shape)
            found.append((round(float(scores[row, column]), 3), self._moved(variant, along[column], across[row])))
            near = np.abs(across - across[row])[:, None] < APART[1]
            scores[near & (np.abs(along - along[column]) < 2 * APART[0])] = -1
        return found

    def bettered(self, job: Job) -> Job:
        """Return the place near that of ``job`` which sliding it shows to be best, drawn anew each time."""
        for _ in range(ROUNDS):
            here = off_middle(job)
            near = [
                (max(low, at - 2 * far), min(high, at + 2 * far))
                for (low, high), at, far in zip(self.limits(), here, APART, strict=False)
            ]
            scores, along, across = self._slid(job, near[0], near[1])
            row, column = np.unravel_index(int(scores.argmax()), scores.shape)
            there = self._moved(job, along[column], across[row])
            if there == job:
                break
            job = there
        return job

    def best_slide(self, job: Job, reach: tuple[float, float]) -> Array:
        """Return how far (along, across; mm), within ``reach``, the outline is best slid over the parts."""
        here = off_middle(job)
        near = [(at - far, at + far) for at, far in zip(here, reach, strict=True)]
        scores, along, across = self._slid(job, near[0], near[1], anywhere=True)
        row, column = np.unravel_index(int(scores.argmax()), scores.shape)
        return np.array([along[column], across[row]]) - here

    def place(self, job: Job) -> Place:
        """Return the chances of a place, by all draws."""
        came = self.draws.come_out(job, self.cut.face, self.parts)
        whole = came.whole(self.room)
        chances = whole.mean(axis=0)
        bevel = job.grind.bevel(self.cut.face)
        height, angle = job.ground.mid_grind(self.cut.face, bevel) if bevel.is_ground else (0.0, 0.0)
        return Place(
            job, off_middle(job), height, angle, tuple(map(float, chances)), float(whole.all(axis=1).mean()),
            float(np.average(chances, weights=self.weights)), float(came.in_steel.mean()),
        )  # fmt: skip

    @property
    def weights(self) -> list[float]:
        """How much each part counts."""
        return [part.weight for part in self.parts]

    def allows(self, place: Place) -> bool:
        """Say whether a place lies within the limits."""
        inside = all(low - 1e-6 <= at <= high + 1e-6 for (low, high), at in zip(self.limits(), place.off, strict=True))
        return inside and self.own_grind

    def _moved(self, job: Job, along: float, across: float) -> Job:
        off = (round(float(along), 3), round(float(across), 3))
        return _laid(job, job.blade.placement.model_copy(update={"heel": None, "edge": None, "off": off}))

    def _slid(
        self, job: Job, along: tuple[float, float], across: tuple[float, float], *, anywhere: bool = False
    ) -> tuple[Array, Array, Array]:
        """Return scores (across, along) of places of the blade, and how far off the middle they lie, mm.

        The parts come out as they do where ``job`` lies; the outline is slid over them, out of the bar too if it may
        lie ``anywhere``.
        """
        came = self.draws.come_out(job, self.cut.face, self.parts, FEW)
        if anywhere:
            came = replace(came, steel=np.broadcast_to(np.array([-np.inf, np.inf]), came.steel.shape))
        here = off_middle(job)
        places = [
            np.linspace(*ends, max(1, 1 + round((ends[1] - ends[0]) / step)))
            for ends, step in zip((along, across), STEPS, strict=True)
        ]
        scores = np.stack([self._row(came, places[0] - here[0], float(at - here[1])) for at in places[1]])
        scores -= EFFORT[0] * np.abs(places[0]) + EFFORT[1] * np.abs(places[1])[:, None]
        return scores - effort((0.0, 0.0), job.blade.placement.mid_plane), places[0], places[1]

    def _row(self, came: ComeOut, along: Array, across: float) -> Array:
        low, high = came.slides(self.room, across)
        each = np.stack([_share(*ends, along) for ends in zip(low.T, high.T, strict=True)])
        all_whole = _share(low.max(axis=1), high.min(axis=1), along)
        motif = (all_whole + np.average(each, axis=0, weights=self.weights)) / 2
        return np.asarray(_share(*came.steel_along(across), along) + motif)


def _share(low: Array, high: Array, at: Array) -> Array:
    """Return the share of the stretches from ``low`` to ``high`` that hold each place ``at``."""
    real = low <= high
    begun = np.searchsorted(np.sort(low[real]), at, side="right")
    ended = np.searchsorted(np.sort(high[real]), at, side="left")
    return (begun - ended) / len(low)
