"""What each uncertain thing does to each pixel of a face: where it came from, and where it would have come from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.blocks import in_row_blocks
from preview.base.progress import counted
from preview.blade.grind import SIDES, Side
from preview.blade.grinds import Bevel
from preview.face.face_map import FaceMap
from preview.face.origins import Origins
from preview.forge.wander import Wander
from preview.job.calibration import Calibration
from preview.job.job import Job
from preview.pipeline import find_origins

PLACES = ("heel", "edge")
"""The two things that move the blade along and across the bar."""

SMALL_STEP = 0.25
"""Step, in standard deviations, by which each uncertain thing is moved to see what it does."""


@dataclass(frozen=True)
class Uncertain:
    """One thing that is not held exactly.

    Parameters
    ----------
    name
        What it is called.
    moved
        Gives the job with the thing moved by an amount, in its own unit.
    error
        Its standard deviation, in the same unit.
    """

    name: str
    moved: Callable[[float], Job]
    error: float

    @property
    def step(self) -> float:
        """By how much it is moved to see what it does: what the blade's place does, the hammer's wander needs too."""
        return SMALL_STEP * (1.0 if self.name in PLACES else self.error)


def uncertain_things(job: Job) -> tuple[Uncertain, ...]:
    """Return what is not held exactly in a job, but for the hammer's wander."""
    unsure, forge = job.unsure, job.forge or Calibration()
    placement, corner = job.blade.placement, job.blade.corner(job.history.bar)
    bar = job.history.bar

    def forged(**change: float) -> Job:
        return job.model_copy(update={"forge": forge.model_copy(update=change)})

    def placed(**change: float) -> Job:
        moved = placement.model_copy(update=change)
        return job.model_copy(update={"blade": job.blade.model_copy(update={"placement": moved})})

    def ground(by: float) -> Job:
        bevels: dict[str, Bevel | None] = {side: _moved_bevel(job, side, by) for side in SIDES}
        return job.model_copy(update={"grind": job.grind.model_copy(update=bevels)})

    def off_centre(by: float) -> Job:
        return job.model_copy(
            update={"grind": job.grind.model_copy(update={"edge_offset": job.grind.edge_offset + by})}
        )

    def thicker(by: float) -> Job:
        thickness = (job.blade.thickness or bar.thickness) - abs(by)  # a bar gives no more than it has
        return job.model_copy(update={"blade": job.blade.model_copy(update={"thickness": thickness})})

    return (
        Uncertain("heel", lambda by: placed(heel=corner[0] + bar.length / 2 + by), unsure.heel),
        Uncertain("edge", lambda by: placed(edge=corner[1] + bar.width / 2 + by), unsure.edge),
        Uncertain("mid_plane", lambda by: placed(mid_plane=placement.mid_plane + by), unsure.mid_plane),
        Uncertain("spread", lambda by: forged(spread_factor=forge.spread_factor + by), forge.spread_factor_error),
        # downwards, since friction may stand at its upper limit already
        Uncertain("friction", lambda by: forged(friction=forge.friction - by), forge.friction_error),
        Uncertain("bevel", ground, 1.0),
        Uncertain("edge_offset", off_centre, unsure.edge_offset),
        Uncertain("thickness", thicker, unsure.thickness),
    )


def _moved_bevel(job: Job, side: Side, by: float) -> Bevel:
    """Return a face's bevel with its grind line lower: by ``by`` standard deviations of its height, or of its angle."""
    unsure = job.unsure
    return job.grind.bevel(side).missed(by * unsure.bevel, by * unsure.angle, job.blade.outline.height)


@dataclass(frozen=True, eq=False)
class Effects:
    """Where a face's pixels came from in the raster, and what a standard deviation of each uncertain thing does to it.

    Parameters
    ----------
    face
        The face.
    names
        The uncertain things, then the waves of the hammer's wander.
    base
        Column and row of each pixel (in cells), (2, pixels).
    effects
        What each thing does to them, (names, 2, pixels).
    per_mm
        What a millimetre of metal along and across does, (2, 2, pixels).
    """

    face: FaceMap
    names: tuple[str, ...]
    base: Float32
    effects: Float32
    per_mm: Float32


def find_effects(job: Job, face: FaceMap, wander: Wander) -> Effects:
    """Return where a face's pixels came from, and what moving each uncertain thing a little does to that."""
    grid = face.grid
    rows, columns = grid.shape
    things = uncertain_things(job)
    names = (*(thing.name for thing in things), *wander.names)
    effects = np.zeros((len(names), 2, rows, columns), dtype=np.float32)
    base = np.empty((2, rows, columns), dtype=np.float32)
    per_mm = np.empty((2, 2, rows, columns), dtype=np.float32)
    here = find_origins(job)
    moved_there = {
        thing.name: find_origins(thing.moved(thing.step))
        for thing in counted("each unsure thing moved", things)
        if thing.step
    }

    def cells(origins: Origins, part: slice) -> tuple[Array, Array]:
        x, y, z, _ = origins.of_face(face.side, grid.along, grid.across[part], grid.distance[part])
        return origins.in_picture(x, y, z)

    x, y, _ = job.blade.corner(job.history.bar)
    along, across = (grid.along + x).astype(np.float32), (grid.across + y).astype(np.float32)

    def work(part: slice) -> None:
        base[0, part], base[1, part] = cells(here, part)
        for thing, effect in zip(things, effects, strict=False):
            if thing.name not in moved_there:
                continue
            for each, (moved, known) in enumerate(zip(cells(moved_there[thing.name], part), base, strict=True)):
                effect[each, part] = (moved - known[part]) * np.float32(1 / SMALL_STEP)
                if thing.name in PLACES:
                    per_mm[PLACES.index(thing.name), each, part] = effect[each, part]
                    effect[each, part] *= np.float32(thing.error)
        for wave, effect in enumerate(effects[len(things) :]):
            ahead, aside = wander.drift(wave, along, across[part])
            for each in range(2):
                # metal that moves ahead brings what lay behind
                moved = per_mm[0, each, part] * ahead
                moved += per_mm[1, each, part] * aside
                np.negative(moved, out=effect[each, part])

    in_row_blocks(work, rows, columns)
    return Effects(face, names, base.reshape(2, -1), effects.reshape(len(names), 2, -1), per_mm.reshape(2, 2, -1))
