"""What each uncertain thing does to each pixel of a face: where it came from, and where it would have come from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.blocks import in_row_blocks
from preview.base.errors import JobError
from preview.base.progress import counted
from preview.blade.grind import Side
from preview.face.face_map import FaceMap
from preview.face.origins import Origins
from preview.forge.things import PLACES, Uncertain, uncertain_things
from preview.forge.wander import Wander
from preview.job.job import Job
from preview.job.seen import Seen
from preview.pipeline import find_origins

GROUND = ("mid_plane", "bevel", "edge_offset", "thickness")
"""What only moves the ground faces outwards or inwards in the bar."""

OPPOSED = ("mid_plane", "edge_offset")
"""What does the opposite to the left face of a blade whose faces mirror each other."""

INWARDS = 0.05
"""Step, mm, by which a ground face is moved inwards to see what that does."""


@dataclass(frozen=True, eq=False)
class Moved:
    """Where places of a face came from in the raster, and what a standard deviation of each uncertain thing does to it.

    Parameters
    ----------
    base
        Column and row (in cells), (2, ...).
    effects
        What each thing and each wave of the hammer's wander does to them, (names, 2, ...).
    per_mm
        What a millimetre of metal along and across does, (2, 2, ...).
    """

    base: Array
    effects: Array
    per_mm: Array


@dataclass(frozen=True, eq=False)
class Moves:
    """A job, and the same with each uncertain thing moved a little.

    Parameters
    ----------
    here
        The job's origins.
    things
        Its uncertain things.
    flow
        How far the flow law may be off, mm, and over what distance from the bar's middle line it comes to that, mm.
    wander
        Of the hammer.
    there
        The origins of the job with a thing moved, and at how many standard deviations, by its name; left out is what
        has no error.
    seen
        What a photograph showed, if there is one.
    """

    here: Origins
    things: tuple[Uncertain, ...]
    flow: tuple[float, float]
    wander: Wander
    there: dict[str, tuple[Origins, float]]
    seen: Seen | None = None

    @classmethod
    def of(cls, job: Job, wander: Wander) -> Moves:
        """Move each thing of ``job``."""
        things = uncertain_things(job)
        moved = counted("each unsure thing moved", [thing for thing in things if thing.step])
        history = job.history
        pressed = next(
            (bar for step, bar in zip(history.steps[::-1], history.bars[::-1], strict=False) if not step.mills),
            history.bar,
        ).thickness
        flow = (0.0 if job.found else job.unsure.flow * pressed, pressed)
        there = {thing.name: _moved_origins(thing) for thing in moved}
        return cls(find_origins(job), things, flow, wander, there, job.found)

    @property
    def names(self) -> tuple[str, ...]:
        """The uncertain things, the flow law, what a photograph left open, then the waves of the hammer's wander."""
        left = () if self.seen is None else self.seen.left
        opened = (f"left open {number}" for number in range(1, len(left) + 1))
        return (*(thing.name for thing in self.things), "flow law", *opened, *self.wander.names)

    def at(
        self, side: Side, along: Array, across: Array, distance: Array | None = None, into: Moved | None = None
    ) -> Moved:
        """Return what they do to places of a face, in the arrays ``into`` if there are any.

        ``along``, ``across``, ``distance`` are as for `Ground.stand`.
        """
        here = self.here
        bar = here.ground.bar
        outwards = 1 if side == "right" else -1
        stand = here.ground.stand(side, along, across, distance)
        kind = stand.dtype.type

        def cells(origins: Origins, stand: Array) -> Array:
            return _cells(origins, side, along, across, stand)

        base = cells(here, stand)
        if into is None:
            into = Moved(base, *(np.empty((count, *base.shape), dtype=kind) for count in (len(self.names), 2)))
        into.base[:] = base
        effects, per_mm = into.effects, into.per_mm
        per_stand = None
        for thing, effect in zip(self.things, effects, strict=False):
            if thing.name not in self.there:
                effect[:] = 0
                continue
            there, deviations = self.there[thing.name]
            new_stand = there.ground.stand(side, along, across, distance)
            if thing.name in GROUND:
                if per_stand is None:
                    per_stand = (base - cells(here, stand - kind(INWARDS))) * kind(1 / INWARDS)
                lifted = there.ground.blade.corner(bar)[2] - here.ground.blade.corner(bar)[2]
                np.multiply(per_stand, (new_stand - stand + kind(outwards * lifted)) * kind(1 / deviations), out=effect)
            else:
                np.subtract(cells(there, new_stand), base, out=effect)
                effect *= kind(1 / deviations)
            if thing.name in PLACES:
                per_mm[PLACES.index(thing.name)] = effect
                effect *= kind(thing.error)
        x, y, _ = here.ground.blade.corner(bar)
        in_bar = (along + x).astype(kind), (across + y).astype(kind)
        # a bulge that is larger or smaller than the law has it: lines on both sides lie further out, or further in
        off, over = map(kind, self.flow)
        np.multiply(per_mm[1], -off * np.tanh(in_bar[1] / over), out=effects[len(self.things)])
        opened, signs = 0 if self.seen is None else len(self.seen.left), here.ground.blade.placement.signs
        for number, effect in enumerate(effects[len(self.things) + 1 :]):
            if self.seen is not None and number < opened:
                left = self.seen.left_at(number, signs[0] * in_bar[0], signs[1] * in_bar[1])
                ahead, aside = -signs[0] * left[0], -signs[1] * left[1]
            else:
                ahead, aside = self.wander.drift(number - opened, *in_bar)
            # metal that moves ahead brings what lay behind
            np.multiply(per_mm[0], -ahead, out=effect)
            effect -= per_mm[1] * aside
        return into

    def per_place(self, side: Side, along: Array, across: Array) -> Array:
        """Return what a millimetre along and across on a ground face does to column and row, (..., 2, 2).

        Places are in float64. The last index is along, across; on a bevel it is more than `Moved.per_mm`, since the
        face stands further out there.
        """

        def at(ahead: float, aside: float) -> Array:
            places = along + ahead, across + aside
            return _cells(self.here, side, *places, self.here.ground.stand(side, *places))

        reach = 0.1
        per_along = at(reach, 0) - at(-reach, 0)
        per_across = at(0, reach) - at(0, -reach)
        return np.moveaxis(np.stack([per_along, per_across]), (0, 1), (-1, -2)) / (2 * reach)


def _cells(origins: Origins, side: Side, along: Array, across: Array, stand: Array) -> Array:
    """Return column and row (in cells), (2, ...), of points ``stand`` mm outwards of the mid-plane."""
    x, y, z, _ = origins.of_points(side, along, across, stand)
    return np.stack(np.broadcast_arrays(*origins.in_picture(x, y, z)))


def _moved_origins(thing: Uncertain) -> tuple[Origins, float]:
    """Return the origins of the job with ``thing`` moved a little, and how far; the other way where it cannot be."""
    try:
        return find_origins(thing.moved(thing.step)), thing.at
    except JobError:
        return find_origins(thing.moved(-thing.step)), -thing.at


@dataclass(frozen=True, eq=False)
class Effects:
    """What the uncertain things do to each pixel of a face; see `Moved`, whose places are the face's pixels in a row.

    Parameters
    ----------
    face
        The face.
    names
        The uncertain things, then the waves of the hammer's wander.
    signs
        -1 for what does the opposite of ``effects`` to this face, else 1, (names,).
    base, effects, per_mm
        (2, pixels), (names, 2, pixels), (2, 2, pixels).
    """

    face: FaceMap
    names: tuple[str, ...]
    signs: Float32
    base: Float32
    effects: Float32
    per_mm: Float32


def find_effects(moves: Moves, faces: tuple[FaceMap, ...]) -> tuple[Effects, ...]:
    """Return what the uncertain things do to each of a job's faces; one reckoning for two that mirror each other."""
    alike = len(faces) > 1 and moves.here.mirrored
    found = [_effects(moves, face) for face in counted("what is unsure", faces[:1] if alike else faces)]
    if alike:
        signs = np.array([-1 if name in OPPOSED else 1 for name in moves.names], dtype=np.float32)
        found.append(replace(found[0], face=faces[1], signs=signs))
    return tuple(found)


def _effects(moves: Moves, face: FaceMap) -> Effects:
    grid, names = face.grid, moves.names
    rows, columns = grid.shape
    effects = np.empty((len(names), 2, rows, columns), dtype=np.float32)
    base = np.empty((2, rows, columns), dtype=np.float32)
    per_mm = np.empty((2, 2, rows, columns), dtype=np.float32)

    def work(part: slice) -> None:
        into = Moved(base[:, part], effects[:, :, part], per_mm[:, :, part])
        moves.at(face.side, grid.along, grid.across[part], grid.distance[part], into)

    in_row_blocks(work, rows, columns)
    signs = np.ones(len(names), dtype=np.float32)
    flat = (base.reshape(2, -1), effects.reshape(len(names), 2, -1), per_mm.reshape(2, 2, -1))
    return Effects(face, names, signs, *flat)
