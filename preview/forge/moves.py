"""What each uncertain thing does to each pixel of a face: where it came from, and where it would have come from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.blocks import in_row_blocks
from preview.blade.grind import Side
from preview.blade.grinds import Bevel
from preview.blade.surface import face_stand
from preview.face.composition import FaceMap
from preview.job.calibration import Calibration
from preview.job.job import SIDES, Job
from preview.job.unsure import Wander
from preview.pipeline import ground_of

SPREAD, FRICTION = 3, 4
"""Places of spread and friction in the list of `variants_of`."""

SMALL_STEP = 0.25
"""Step, in standard deviations, by which each uncertain thing is moved to see what it does."""


def variants_of(job: Job) -> list[tuple[Callable[[float], Job], float]]:
    """Return for each uncertain thing a maker of the job with it moved, in its own unit, and its standard deviation."""
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

    return [
        (lambda by: placed(heel=corner[0] + bar.length / 2 + by), unsure.heel),
        (lambda by: placed(edge=corner[1] + bar.width / 2 + by), unsure.edge),
        (lambda by: placed(mid_plane=placement.mid_plane + by), unsure.mid_plane),
        (lambda by: forged(spread_factor=forge.spread_factor + by), forge.spread_factor_error),
        # downwards, since friction may stand at its upper limit already
        (lambda by: forged(friction=forge.friction - by), forge.friction_error),
        (ground, 1.0),
        (off_centre, unsure.edge_offset),
        (thicker, unsure.thickness),
    ]


def _moved_bevel(job: Job, side: Side, by: float) -> Bevel:
    """Return a face's bevel with its grind line lower: by ``by`` standard deviations of its height, or of its angle."""
    unsure = job.unsure
    return job.grind.bevel(side).missed(by * unsure.bevel, by * unsure.angle, job.blade.outline.height)


@dataclass(frozen=True, eq=False)
class Kept:
    """A face's pixels: where they came from in the raster (in cells), and what a standard deviation of each thing does.

    ``base`` is (2, pixels), ``effects`` (things, 2, pixels), column and row; things are those of `variants_of`, then
    the waves of the hammer's wander. ``per_mm`` (2, 2, pixels) is what a millimetre of metal along and across does.
    """

    face: FaceMap
    base: Float32
    effects: Float32
    per_mm: Float32


def keep(job: Job, face: FaceMap, wander: Wander) -> Kept:
    """Return where a face's pixels came from, and what moving each uncertain thing a little does to that."""
    grid = face.grid
    rows, columns = grid.shape
    variants = variants_of(job)
    effects = np.zeros((len(variants) + wander.count, 2, rows, columns), dtype=np.float32)
    base = np.empty((2, rows, columns), dtype=np.float32)
    per_mm = np.empty((2, 2, rows, columns), dtype=np.float32)
    # the first two are the blade's place: what they do in a millimetre is also what the hammer's wander needs
    steps = [SMALL_STEP * (1.0 if number < 2 else error) for number, (_, error) in enumerate(variants)]
    grounds = [ground_of(job), *(ground_of(make(step)) for (make, _), step in zip(variants, steps, strict=True))]

    def origins(number: int, part: slice) -> tuple[Array, Array]:
        ground, across = grounds[number], grid.across[part]
        stand = face_stand(
            ground.blade, ground.grind, ground.pull_back.history.bar, face.side, grid.along, across, grid.distance[part]
        )
        return ground.in_picture(*ground.can_points(face.side, grid.along, across, stand)[:3])

    x, y, _ = job.blade.corner(job.history.bar)
    along, across = (grid.along + x).astype(np.float32), (grid.across + y).astype(np.float32)

    def work(part: slice) -> None:
        base[0, part], base[1, part] = origins(0, part)
        for number, (_, error) in enumerate(variants):
            if not steps[number]:
                continue
            for each, (moved, kept) in enumerate(zip(origins(number + 1, part), base, strict=True)):
                change = (moved - kept[part]) * np.float32(1 / SMALL_STEP)
                effects[number, each, part] = change
                if number < 2:
                    per_mm[number, each, part] = change
                    effects[number, each, part] *= np.float32(error)
        for wave in range(wander.count):
            ahead, aside = wander.drift(wave, along, across[part])
            for each in range(2):
                # metal that moves ahead brings what lay behind
                moved = per_mm[0, each, part] * ahead
                moved += per_mm[1, each, part] * aside
                np.negative(moved, out=effects[len(variants) + wave, each, part])

    in_row_blocks(work, rows, columns)
    return Kept(face, base.reshape(2, -1), effects.reshape(len(effects), 2, -1), per_mm.reshape(2, 2, -1))
