"""How sure the preview is: likely looks, how likely each spot is bright, and how far the pattern may wander.

What is not held exactly is drawn at random, seeded by the job. Where a pixel came from is worked out once, and once
more for each uncertain thing moved a little; a draw is then a sum of what was kept, so that hundreds cost no more
than a few changes of the grind. That is first-order error propagation: good while the wander is small against
the bends of the pattern.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
from PIL import Image

from preview.base.arrays import Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.progress import counted
from preview.base.results import Mm
from preview.face.face_map import sample
from preview.face.view import scale_for
from preview.forge.uncertain import Effects, find_effects
from preview.forge.wander import Wander
from preview.job.calibration import Calibration
from preview.job.job import Job, check_job
from preview.pipeline import PREVIEW_WIDTH, face_maps, find_origins, take_picture

LOOKS = 6
DRAWS = 64
BLOCK = 2048
"""Pixels of which all draws are worked out at once: their coordinates stay in the cache."""

COARSE = 8
"""Pixels between the points at which a look's wander is worked out exactly."""


@dataclass(frozen=True)
class Band:
    """Where 80 per cent of the draws put a point of the pattern, mm on the right face from where it is shown.

    Parameters
    ----------
    place
        ``grind line``, ``mid-bevel`` or ``edge``, at mid-length.
    along, across
        10th and 90th percentile, towards the tip and towards the spine.
    """

    place: str
    along: tuple[Mm, Mm]
    across: tuple[Mm, Mm]


@dataclass(frozen=True, eq=False)
class Likely:
    """What the draws say.

    Parameters
    ----------
    looks
        Six pictures of the right face, sRGB bytes ``(rows, columns, 3)``.
    chance
        How likely each pixel is bright, 0 to 1, float32, as the viewer sees the right and the left face; empty where
        it was not asked for.
    on_blade
        Which of those pixels lie on the blade.
    bands
        How far the pattern may wander.
    draws
        How many draws the chances and bands rest on.
    """

    looks: tuple[Bytes, ...]
    chance: tuple[Float32, ...]
    on_blade: tuple[Mask, ...]
    bands: tuple[Band, ...]
    draws: int

    @property
    def sheet(self) -> Bytes:
        """The six looks in three rows of two."""
        return np.concatenate([np.concatenate(self.looks[row : row + 2], axis=1) for row in range(0, LOOKS, 2)])

    @property
    def map(self) -> Bytes:
        """Chance of bright on both faces, from black (never) to white (always), on mid-grey; the right face on top."""
        shown = []
        for chance, on_blade in zip(self.chance, self.on_blade, strict=True):
            grey = np.rint(255 * np.where(on_blade, chance, 0.5)).astype(np.uint8)
            shown.append(np.pad(grey, max(4, grey.shape[1] // 40), constant_values=128))
        return np.concatenate(shown)


def _random(seed: int, name: str) -> np.random.Generator:
    """Return random numbers of a thing's own: another thing more changes nothing about them."""
    return np.random.default_rng([seed, crc32(name.encode())])


def _draw(job: Job, draws: int, names: tuple[str, ...]) -> dict[str, Float32]:
    """Return standard normal weights (draws,) of each uncertain thing.

    Friction goes with spread as fitted, and stays from 0 to 1.
    """
    weights = {name: _random(job.seed, name).standard_normal(draws) for name in names}
    forge = job.forge or Calibration()
    if forge.friction_error:
        together = forge.correlation * weights["spread"]
        together += np.sqrt(1 - forge.correlation**2) * weights["friction"]
        friction = np.clip(forge.friction + together * forge.friction_error, 0, 1)
        weights["friction"] = (forge.friction - friction) / forge.friction_error  # moved downwards
    return {name: each.astype(np.float32) for name, each in weights.items()}


def _chance(job: Job, found: Effects, weights: Float32) -> Float32:
    """Return how likely each pixel is bright."""
    bright = find_origins(job).sampler.raster.share_of(job.bright_powders)
    table = np.rint(255 * np.clip(bright, 0, 1)).astype(np.uint8)
    high, wide = table.shape
    flat = table.reshape(-1)
    pixels = found.base.shape[1]
    chance = np.empty(pixels, dtype=np.float32)
    things = len(found.effects)

    def work(part: slice) -> None:
        for low in range(part.start, part.stop, BLOCK):
            cut = slice(low, min(low + BLOCK, part.stop))
            count = cut.stop - cut.start
            moved = weights @ found.effects[:, :, cut].reshape(things, -1)
            moved += (found.base[:, cut] + np.float32(0.5)).reshape(-1)
            column, row = moved[:, :count], moved[:, count:]
            np.clip(column, 0, wide - 1, out=column)
            np.clip(row, 0, high - 1, out=row)
            index = row.astype(np.int32)
            index *= wide
            index += column.astype(np.int32)
            chance[cut] = np.take(flat, index).mean(axis=0, dtype=np.float32)

    in_row_blocks(work, pixels, 8)  # eight, so that there is work for both threads on a small picture as well
    return chance.reshape(found.face.grid.shape) / np.float32(255)


def _bands(job: Job, found: Effects, weights: Float32) -> tuple[Band, ...]:
    """Return how far the draws move the pattern at three places of the right face, at mid-length."""
    grid = found.face.grid
    rows, columns = grid.shape
    along, middle = job.ground.mid_bevel()
    bevel = job.ground.bevel("right", np.array([along]))
    edge, spine = (float(curve(np.array(along))) for curve in (job.blade.outline.edge, job.blade.outline.spine))
    top = min(edge + float(bevel.height[0]), spine)
    bands = []
    for place, across in (("grind line", top - 0.5), ("mid-bevel", middle), ("edge", edge + 0.5)):
        column = int(np.clip(along * grid.px_per_mm, 1, columns - 2))
        row = int(np.clip(rows - 1 - across * grid.px_per_mm, 1, rows - 2))
        base = found.base.reshape(2, rows, columns)
        # millimetres of the blade for a cell of the raster; along the bar a pattern may not change at all
        per_mm = np.stack(
            [
                (base[:, row, column + 1] - base[:, row, column - 1]) * (grid.px_per_mm / 2),
                (base[:, row - 1, column] - base[:, row + 1, column]) * (grid.px_per_mm / 2),
            ],
            axis=1,
        )
        shift = weights @ found.effects.reshape(len(found.effects), 2, rows, columns)[:, :, row, column]
        on_blade = -shift @ np.linalg.pinv(per_mm.astype(float), rcond=1e-3).T
        low, high = np.percentile(on_blade, [10, 90], axis=0)
        bands.append(Band(place, (float(low[0]), float(high[0])), (float(low[1]), float(high[1]))))
    return tuple(bands)


def _look(job: Job, found: Effects, weights: dict[str, float], wander: Wander) -> Bytes:
    """Return the right face as one draw has it."""
    face = found.face
    rows, columns = face.grid.shape
    moved = found.base.copy()
    for name, effect in zip(found.names, found.effects, strict=True):
        if name not in wander.names:
            moved += np.float32(weights[name]) * effect
    x, y, _ = job.blade.corner(job.history.bar)
    coarse = np.meshgrid((face.grid.along[0] + x)[::COARSE], (face.grid.across[:, 0] + y)[::COARSE])
    # where the metal at each pixel came from: the wander undone
    origin = wander.moved(-np.array([weights[name] for name in wander.names]), *coarse)
    for per_mm, here, there in zip(found.per_mm, coarse, origin, strict=True):
        shift = Image.fromarray((there - here).astype(np.float32)).resize((columns, rows), Image.Resampling.BICUBIC)
        moved += per_mm * np.asarray(shift).reshape(-1)
    column, row = moved.reshape(2, rows, columns)
    return take_picture(job, replace(face, shares=sample(find_origins(job), face.view, column, row)))


def likely(
    job: Job, *, draws: int = DRAWS, width: int = PREVIEW_WIDTH, looks: bool = True, chances: bool = True
) -> Likely:
    """Return likely looks, chances and bands of a job.

    Parameters
    ----------
    job
        The job, checked; its seed starts the draws, and the same seed gives the same bytes.
    draws
        Number of draws for chances and bands.
    width
        Width of a face's picture in pixels.
    looks
        Whether the six pictures are wanted too.
    chances
        Whether it is wanted too how likely each spot is bright.

    Raises
    ------
    JobError, FileError
        As for `preview.pipeline.preview`.
    """
    check_job(job)
    scale = scale_for(job.blade.outline, width)
    wander = Wander.of(job.hammer, job.unsure.hammer_length, _random(job.seed, "hammer"))
    faces = face_maps(job, scale)[: 2 if chances else 1]
    effects = [find_effects(job, face, wander) for face in counted("what is unsure", faces)]
    right = effects[0]
    drawn = _draw(job, max(draws, LOOKS), right.names)
    weights = np.stack([drawn[name][:draws] for name in right.names], axis=1)
    each_look = [{name: float(values[number]) for name, values in drawn.items()} for number in range(LOOKS)]
    bright = effects if chances else []
    return Likely(
        looks=tuple(_look(job, right, each, wander) for each in counted("likely looks", each_look if looks else [])),
        chance=tuple(each.face.view.seen(_chance(job, each, weights)) for each in counted("draws", bright)),
        on_blade=tuple(each.face.view.seen(each.face.grid.mask) for each in bright),
        bands=_bands(job, right, weights),
        draws=draws,
    )
