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

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.progress import counted
from preview.face.face_map import FaceMap, sample
from preview.face.view import View, scale_for
from preview.forge.bands import (
    Band,
    Ellipse,
    apart,
    bands_of,
    ellipses_of,
    motif_parts,
    seen_near,
    shifts,
    stations,
)
from preview.forge.ellipses import with_ellipses
from preview.forge.uncertain import Effects, Moves, find_effects
from preview.forge.wander import Wander
from preview.job.calibration import SETTLING, Calibration
from preview.job.checks import check_job
from preview.job.job import Job
from preview.pipeline import PREVIEW_WIDTH, face_maps, find_origins, take_picture

LOOKS = 6
DRAWS = 64
BAND_DRAWS = 2000
"""Draws for bands and ellipses, at a few places only: their ends are held to some 3 per cent."""

BLOCK = 2048
"""Pixels of which all draws are worked out at once: their coordinates stay in the cache."""

COARSE, A_WAVE = 16, 12
"""Pixels between the points at which a look's wander is worked out exactly, at most, and points to its length at least:
read in between by a cubic, it is off by a twentieth of its size at most."""


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
    parts
        Ellipses round the parts of the motif on the right face, the largest first; of a pattern without any, at the
        bands' places.
    stations
        Ellipses at the bands' places, in their order: as wide as those of the parts.
    rings
        Ellipses at bright spots near those places, in their order: what is drawn there can be pointed at.
    picture, view
        The right face as it is shown, and the frame of that picture.
    draws
        How many draws the chances rest on.
    """

    looks: tuple[Bytes, ...]
    chance: tuple[Float32, ...]
    on_blade: tuple[Mask, ...]
    bands: tuple[Band, ...]
    parts: tuple[Ellipse, ...]
    stations: tuple[Ellipse, ...]
    rings: tuple[Ellipse, ...]
    picture: Bytes
    view: View
    draws: int

    @property
    def sheet(self) -> Bytes:
        """The six looks in three rows of two."""
        return np.concatenate([np.concatenate(self.looks[row : row + 2], axis=1) for row in range(0, LOOKS, 2)])

    @property
    def where(self) -> Bytes:
        """The right face with its ellipses, RGB bytes."""
        return with_ellipses(self.picture, self.view, self.parts)

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


def draw_weights(job: Job, draws: int, names: tuple[str, ...]) -> dict[str, Float32]:
    """Return standard normal weights (draws,) of each uncertain thing, in the order of ``names``.

    What was fitted together goes together; friction stays from 0 to 1.
    """
    weights = {name: _random(job.seed, name).standard_normal(draws) for name in names}
    forge = job.forge or Calibration()
    flow = np.array([[1.0, forge.correlation], [forge.correlation, 1.0]])
    for group, correlations in ((("spread", "friction"), flow), (SETTLING, job.settling.correlations)):
        sizes, ways = np.linalg.eigh(correlations)  # a root even where errors are one and the same
        root = ways * np.sqrt(np.maximum(sizes, 0)) @ ways.T
        weights |= zip(group, root @ np.stack([weights[name] for name in group]), strict=True)
    if forge.friction_error:
        friction = np.clip(forge.friction + weights["friction"] * forge.friction_error, 0, 1)
        weights["friction"] = (friction - forge.friction) / forge.friction_error
    return {name: weights[name].astype(np.float32) for name in names}


def _chance(job: Job, found: Effects, weights: Float32) -> Float32:
    """Return how likely each pixel is bright."""
    bright = find_origins(job).sampler.raster.share_of(job.bright_powders)
    table = np.rint(255 * np.clip(bright, 0, 1)).astype(np.uint8)
    high, wide = table.shape
    flat = table.reshape(-1)
    weights = weights * found.signs
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


def _look(job: Job, found: Effects, weights: dict[str, float], wander: Wander) -> Bytes:
    """Return the right face as one draw has it."""
    face = found.face
    rows, columns = face.grid.shape
    things = len(found.names) - wander.count
    each = np.array([weights[name] for name in found.names[:things]], dtype=np.float32)
    moved = each @ found.effects[:things].reshape(things, -1)
    moved = moved.reshape(2, -1) + found.base
    drawn = np.array([weights[name] for name in wander.names])
    for per_mm, shift in zip(found.per_mm, _wandered(job, face, wander, drawn), strict=True):
        moved += per_mm * shift.reshape(-1)
    column, row = moved.reshape(2, rows, columns)
    return take_picture(job, replace(face, shares=sample(find_origins(job), face.view, column, row)))


def _wandered(job: Job, face: FaceMap, wander: Wander, weights: Array) -> tuple[Float32, Float32]:
    """Return how far along and across (rows, columns), mm, the metal at each pixel came from: the wander undone."""
    (rows, columns), scale = face.grid.shape, face.grid.px_per_mm
    step = max(1, min(COARSE, int(job.unsure.hammer_length * scale / A_WAVE)))
    x, y, _ = job.blade.corner(job.history.bar)
    # a block more at each end: a cubic needs neighbours
    right, down = ((np.arange(-1, -(-count // step) + 1) + 0.5) * step / scale for count in (columns, rows))
    here = np.meshgrid(x + right, y + rows / scale - down)
    shifts = []
    for start, origin in zip(here, wander.moved(-weights, *here), strict=True):
        coarse = Image.fromarray((origin - start).astype(np.float32))
        large = coarse.resize((coarse.width * step, coarse.height * step), Image.Resampling.BICUBIC)
        shifts.append(np.asarray(large)[step : step + rows, step : step + columns])
    return shifts[0], shifts[1]


def likely(
    job: Job,
    *,
    draws: int = DRAWS,
    width: int = PREVIEW_WIDTH,
    looks: bool = True,
    chances: bool = True,
    rings_at: Array | None = None,
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
    rings_at
        Places of the right face (3, 2), mm, at which the rings stand, those of another blade's; None for bright spots
        of its own.

    Raises
    ------
    JobError, FileError
        As for `preview.pipeline.preview`.
    """
    check_job(job)
    scale = scale_for(job.blade.outline, width)
    wander = Wander.of(job.hammer, job.unsure.hammer_length, _random(job.seed, "hammer"))
    moves = Moves.of(job, wander)
    effects = find_effects(moves, face_maps(job, scale)[: 2 if chances else 1])
    right = effects[0]
    drawn = draw_weights(job, max(draws, BAND_DRAWS), moves.names)
    weights = np.stack([drawn[name] for name in moves.names], axis=1)
    each_look = [{name: float(values[number]) for name, values in drawn.items()} for number in range(LOOKS)]
    told, parts = stations(job), motif_parts(right.face, job.bright_powders)
    seen = seen_near(right.face, job.bright_powders, told, parts) if rings_at is None else rings_at
    places = np.concatenate([told, seen, parts])
    moved = shifts(moves, places, weights)
    ellipses = ellipses_of(places, moved)
    bright, count = effects if chances else (), len(told)
    return Likely(
        looks=tuple(_look(job, right, each, wander) for each in counted("likely looks", each_look if looks else [])),
        chance=tuple(each.face.view.seen(_chance(job, each, weights[:draws])) for each in counted("draws", bright)),
        on_blade=tuple(each.face.view.seen(each.face.grid.mask) for each in bright),
        bands=bands_of(moved[:, :count]),
        parts=apart(ellipses[2 * count :] if len(parts) else ellipses[:count]),
        stations=ellipses[:count],
        rings=ellipses[count : 2 * count],
        picture=take_picture(job, right.face),
        view=right.face.view,
        draws=draws,
    )
