"""Where the grains of a motif's parts come out on a blade, under all that is unsure; and how likely each is whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import JobError
from preview.base.progress import counted
from preview.blade.grind import Side
from preview.cutting.lying import HARDLY, lying, on_face, per_place, step_towards
from preview.cutting.parts import Part
from preview.cutting.room import Room
from preview.face.origins import Origins
from preview.forge.draws import draw_weights
from preview.forge.things import PLACES, uncertain_things
from preview.forge.uncertain import Moves
from preview.forge.wander import Wander
from preview.forging.history import pull_back
from preview.job.job import Job
from preview.job.limits import limits_of

SLACK = 1e-4
"""What the blade may reach out of the bar, mm: arithmetic's own."""

BENT = ("spread", "fill_density")
KNOTS = (-2.0, -1.0, 0.0, 1.0, 2.0)
"""Standard deviations at which it is looked what spread and fill do, both together: between them they decide whether a
later pass reaches the bar at all, so that the pattern does not move in proportion to either."""


@dataclass(frozen=True, eq=False)
class Draws:
    """What is unsure about a job, and random weights of it.

    Parameters
    ----------
    moves
        The job, and the same with each uncertain thing moved a little.
    weights
        Of each thing in each draw, (draws, names), standard normal.
    forged
        The job as it would be forged at each pair of `KNOTS` of `BENT`; none where neither is unsure, nor where a bar
        of tiles would then have another number of them: it is taken to have as many as reckoned.
    measured
        Length and width of the bar, mm, where they are known.
    unseen
        The same of the job without its photograph, of which the bar's size is drawn: a photograph of its face tells
        where the pattern lies, not how long and wide the steel is. None where there is no photograph, or no need.
    """

    moves: Moves
    weights: Float32
    forged: tuple[Origins, ...]
    measured: tuple[float, float] | None
    unseen: Draws | None

    @classmethod
    def of(cls, job: Job, draws: int, measured: tuple[float, float] | None = None) -> Draws:
        """Draw ``draws`` forges by the job's seed; the first ones are the same however many there are."""
        moves = Moves.of(job, Wander.everywhere(job.hammer, job.unsure.hammer_length))
        drawn = draw_weights(job, draws, moves.names)
        unsure = any(name in moves.there for name in BENT)
        jobs = [_forged(job, one, other) for one in KNOTS for other in KNOTS] if unsure else []
        if any(tiles(each) != tiles(job) for each in jobs):
            jobs = []
        forged = (
            replace(moves.here, pull_back=pull_back(each.history), ground=each.ground)
            for each in counted("the forging, done otherwise", jobs)
        )
        unseen = None
        if job.found is not None and measured is None:
            unseen = cls.of(job.unseen, draws)
        return cls(moves, np.stack([drawn[name] for name in moves.names], axis=1), tuple(forged), measured, unseen)

    def here(self, job: Job) -> Origins:
        """Return the origins of a job that differs from theirs in its blade and grind alone."""
        return _cut(self.moves.here, job)

    def come_out(self, job: Job, side: Side, parts: Sequence[Part], few: int | None = None) -> ComeOut:
        """Return where the parts come out on a face of ``job``, which differs from theirs in blade and grind alone.

        Parameters
        ----------
        job, side, parts
            The blade as it is cut and ground, which face, and the parts.
        few
            How many of the draws, whatever is unsure moving the pattern in proportion; all of them, and `BENT` as it
            does, where it is left out.
        """
        moves, weights = _of_blade(self.moves, job), self.weights[:few]
        here, blade, bar = moves.here, job.blade, moves.here.ground.bar
        in_bar, spots = (np.concatenate([getattr(part, of) for part in parts], axis=1) for of in ("in_bar", "spots"))
        cells = np.stack(here.sampler.positions(*spots))
        start = np.stack(blade.bar_to_blade(in_bar[0], in_bar[1], np.zeros(1), bar)[:2])
        places, found = lying(here, side, cells, start)
        along, across, distance = on_face(here, *places)
        moved = moves.at(side, along, across, distance)
        shares, bent = self._shares(few)
        in_mm = np.linalg.pinv(per_place(here, side, places), rcond=HARDLY)
        # a place that came from further on now shows a pattern that lies further back
        each: list[Array] = [np.einsum("pij,kjp->kip", -in_mm, moved.effects)]
        if bent:
            each.append(np.stack([step_towards(_cut(forged, job), side, cells, places) for forged in self.forged]))
        effects = np.concatenate(each).astype(np.float32)
        drawn = (shares @ effects.reshape(len(effects), -1)).reshape(len(shares), *places.shape)
        drawn += places.astype(np.float32)
        counts = [part.spots.shape[1] for part in parts]
        return ComeOut(drawn, found, np.cumsum([0, *counts[:-1]]), steel_round(job, moves, self.bars(few), weights))

    def bars(self, few: int | None = None) -> Array:
        """Return length and width of the bar in each draw, (draws, 2), mm; ``few`` as for `come_out`."""
        if self.measured is not None:
            return np.broadcast_to(np.array(self.measured), (len(self.weights[:few]), 2))
        if self.unseen is not None:
            return self.unseen.bars(few)
        shares, bent = self._shares(few)
        here = np.array(self.moves.here.ground.bar.size[:2])
        effects = np.zeros((shares.shape[1], 2))
        for name, (origins, at) in self.moves.there.items():
            effects[self.moves.names.index(name)] = (np.array(origins.ground.bar.size[:2]) - here) / at
        if bent:
            effects[-len(self.forged) :] = [np.array(each.ground.bar.size[:2]) - here for each in self.forged]
        return np.asarray(here + shares @ effects)

    def _shares(self, few: int | None) -> tuple[Float32, bool]:
        """Return how much each thing counts in each draw, and whether each of `forged` follows in its own columns."""
        weights = self.weights[:few]
        if few is not None or not self.forged:
            return weights, False
        own = [self.moves.names.index(name) for name in BENT]
        straight = np.where(np.isin(np.arange(weights.shape[1]), own), 0, weights)
        one, other = (_between(weights[:, number]) for number in own)
        bent = (one[:, :, None] * other[:, None, :]).reshape(len(weights), -1)
        return np.concatenate([straight, bent], axis=1).astype(np.float32), True


def steel_round(job: Job, moves: Moves, bars: Array, weights: Array) -> Array:
    """Return the least and the most (mm) that the blade may be moved, along and across, to lie in the bar of each draw.

    (draws, 2, 2). Its tang has to lie in it too where it does in the bar as it is reckoned. How far off the place is
    marked counts; a tapered bar is taken for the box round it. ``bars`` (draws, 2), mm.
    """
    blade, bar = job.blade, job.history.bar
    outline, tang = blade.outline, tang_in(job)
    corners = np.array([
        blade.corner(replace(bar, length=length, width=width))[:2] for length, width in bars.tolist()
    ])  # fmt: skip
    errors = {thing.name: thing.error for thing in moves.things}
    for axis, name in enumerate(PLACES):
        corners[:, axis] += errors[name] * weights[:, moves.names.index(name)]
    behind, ahead = np.array([tang, 0.0]), np.array([outline.length, outline.height])
    return np.stack([behind - corners - bars / 2, bars / 2 - corners - ahead], axis=2)


def tang_in(job: Job) -> float:
    """Return how much of the tang has to lie in the bar, mm: all where the bar as reckoned holds it, else none."""
    blade, bar = job.blade, job.history.bar
    tang = blade.outline.tang_length
    return tang if blade.corner(bar)[0] - tang >= -bar.length / 2 - 1e-6 else 0.0


def tiles(job: Job) -> int:
    """Return how many tiles the bar of ``job`` is welded of; 1 where it is not."""
    history = job.history
    return 1 + sum(len(step.joints(met)) for step, met in zip(history.steps, history.met, strict=True))


def _of_blade(moves: Moves, job: Job) -> Moves:
    """Return the moves of a job that differs from theirs in its blade and grind alone: nothing is forged anew."""
    things = {thing.name: thing for thing in uncertain_things(job)}
    there = {}
    for name, (origins, at) in moves.there.items():
        by = at * (1.0 if name in PLACES else things[name].error)
        there[name] = _cut(origins, things[name].moved(by)), at
    return replace(moves, here=_cut(moves.here, job), things=tuple(things.values()), there=there)


def _forged(job: Job, one: float, other: float) -> Job:
    """Return ``job`` with both things of `BENT` moved, in standard deviations."""
    for name, by in zip(BENT, (one, other), strict=True):
        thing = next(each for each in uncertain_things(job) if each.name == name)
        job = _reached(thing.moved(by * thing.error))
    return job


def _reached(job: Job) -> Job:
    """Return ``job`` with each pass that the bar comes to thinner than that leaves it at what still presses it."""
    for _ in job.forging:
        try:
            _ = job.history.bar
        except JobError as error:
            where, limits = error.faults[0].where, limits_of(job)
            broken = limits[-1] if limits else None
            if broken is None or broken.holds or broken.where != where:
                raise
            steps = list(job.forging)
            number, key = int(where.partition("[")[2].partition("]")[0]), where.rpartition(".")[2]
            steps[number] = steps[number].model_copy(update={key: broken.nearest})
            job = job.model_copy(update={"forging": tuple(steps)})
    return job


def _cut(origins: Origins, job: Job) -> Origins:
    """Return the origins of another forging with the blade and the grind of ``job``."""
    return replace(origins, ground=replace(origins.ground, blade=job.blade, grind=job.grind))


def _between(weights: Array) -> Array:
    """Return how much each knot counts at each weight, (n, knots), for reading linearly between them, and beyond."""
    knots = np.array(KNOTS)
    before = np.clip(np.searchsorted(knots, weights) - 1, 0, len(knots) - 2)
    share, every = (weights - knots[before]) / (knots[before + 1] - knots[before]), np.arange(len(weights))
    shares = np.zeros((len(weights), len(knots)))
    shares[every, before], shares[every, before + 1] = 1 - share, share
    return shares


@dataclass(frozen=True, eq=False)
class ComeOut:
    """Where the points of parts come out on a face.

    Parameters
    ----------
    drawn
        In each draw along and across, blade frame, (draws, 2, points), mm.
    found
        Points that come out at all.
    first
        The first point of each part.
    steel
        The least and the most that the blade may be moved along and across in each draw, (draws, 2, 2), mm.
    """

    drawn: Float32
    found: Mask
    first: NDArray[np.intp]
    steel: Array

    @property
    def in_steel(self) -> Mask:
        """In which draws the whole blade lies in the bar, (draws,)."""
        low, high = self.steel[:, :, 0], self.steel[:, :, 1]
        return np.asarray(((low <= SLACK) & (high >= -SLACK)).all(axis=1))

    def whole(self, room: Room) -> Mask:
        """Say in which draws which parts come out whole on a whole blade, (draws, parts)."""
        inside = room.holds(self.drawn[:, 0], self.drawn[:, 1]) & self.found
        return np.asarray(np.logical_and.reduceat(inside, self.first, axis=1) & self.in_steel[:, None])

    def slides(self, room: Room, across: float) -> tuple[Float32, Float32]:
        """Return how far the blade may be moved along with each part whole: least and most, mm, (draws, parts).

        ``across`` is how far it is moved towards the spine, mm. Where it may not be at all, the least is infinite.
        """
        back, ahead = room.shifts(self.drawn[:, 0], self.drawn[:, 1] - np.float32(across))
        back[:, ~self.found] = np.inf
        # the blade moves one way, the parts on it the other
        low = np.maximum.reduceat(-ahead, self.first, axis=1)
        high = np.minimum.reduceat(-back, self.first, axis=1)
        least, most = self.steel_along(across)
        low = np.where(np.isnan(low), np.inf, np.maximum(low, least[:, None]))
        return low.astype(np.float32), np.minimum(high, most[:, None]).astype(np.float32)

    def steel_along(self, across: float) -> tuple[Float32, Float32]:
        """Return how far the blade may be moved along to lie in the bar: least and most, mm, (draws,).

        ``across`` as for `slides`. Where it may not be at all, the least is infinite.
        """
        (least, most), (down, up) = np.moveaxis(self.steel.astype(np.float32), 0, -1)
        leaves = (across < down - SLACK) | (across > up + SLACK)
        return np.where(leaves, np.float32(np.inf), least - np.float32(SLACK)), most + np.float32(SLACK)
