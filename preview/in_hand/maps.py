"""What the steel of a whole blade looks like, as maps: both faces, spine, foot of the edge and heel on one sheet.

**Frame.** A sheet holds blocks, one below the other. Each block is a level rectangle of the blade, `FRAMES` saying
which way its columns and its rows (from the last to the first) go in the blade's frame, and where outwards is. Slopes
are those of the surface over the block: mm outwards for a millimetre that way. So the outward normal of a pixel is
along ``outwards - right * columns - up * rows``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, sqrt

import numpy as np
from scipy.ndimage import distance_transform_edt

from preview.base.arrays import Array, Float32
from preview.blade.grind import SIDES
from preview.blade.outlines import Outline
from preview.face.face_map import FaceMap
from preview.face.origins import Origins
from preview.in_hand.stones import sharpened_stand
from preview.job.job import Job
from preview.look.answers import mixed
from preview.look.creep import crept
from preview.look.etch import VOID_LUMINANCE, luminance
from preview.look.facets import usual_tones
from preview.look.palette import brightness_of
from preview.look.photograph import attacks, shade
from preview.look.plunge import plunge_of
from preview.look.rims import EASED, STEEPEST, eased_corners, shadow_on, sharpened
from preview.look.still import fully_etched
from preview.pipeline import face_maps, find_origins

FINEST, MOST_PIXELS = 10.0, 800_000
"""Most pixels in a millimetre, and of both faces together, so that a page stays small enough to be sent."""

BETWEEN = 8
"""Rows between blocks, filled as their rims are, so that nothing bleeds over where the sheet is seen from afar."""

BENT = 0.1
"""Difference of slope along the blade, from pixel to pixel, that is a keen bend: where a wheel's hollow begins."""

Vector = tuple[float, float, float]

FRAMES: dict[str, tuple[Vector, Vector, Vector]] = {
    "right": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "left": ((1, 0, 0), (0, 1, 0), (0, 0, -1)),
    "spine": ((1, 0, 0), (0, 0, 1), (0, 1, 0)),
    "foot": ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
    "heel": ((0, 1, 0), (0, 0, 1), (-1, 0, 0)),
}
"""Which way a block's columns and rows go, and where outwards is: along, across, through of the blade."""


@dataclass(frozen=True)
class Block:
    """A block of a sheet: its first row, its rows, and where its upper rim is in the direction of its rows, mm."""

    first: int
    rows: int
    top: float


@dataclass(frozen=True, eq=False)
class SteelMaps:
    """The steel of a blade on one sheet, arrays ``(rows, columns)`` float32.

    Parameters
    ----------
    px_per_mm
        Pixels in a millimetre.
    blocks
        Where each of `FRAMES` is.
    right, up
        Slopes in the direction of the block's columns and rows.
    dark
        How far the steel has gone from bright (0) to fully etched (1); beyond, where there is none.
    keen
        Share of a pixel that the sharpened edge covers.
    edge
        Slopes of the sharpened edge below each column of a face, `right` and `up`: ``(2, columns)``.
    """

    px_per_mm: float
    blocks: dict[str, Block]
    right: Float32
    up: Float32
    dark: Float32
    keen: Float32
    edge: Float32

    def places(self, name: str, points: Array) -> Array:
        """Return where points ``(..., 3)`` of the blade, mm, lie on the sheet: shares of its sides, from its top left.

        ``name`` says on which block.
        """
        columns, rows, _ = FRAMES[name]
        block = self.blocks[name]
        beside, upward = points @ np.array(columns), points @ np.array(rows)
        down = block.first + (block.top - upward) * self.px_per_mm
        high, wide = self.dark.shape
        return np.stack([beside * self.px_per_mm / wide, down / high], axis=-1)


def sheet_scale(outline: Outline) -> float:
    """Return the pixels in a millimetre that a blade's sheet has."""
    return min(FINEST, sqrt(MOST_PIXELS / (2 * outline.length * outline.height)))


def steel_maps(job: Job, px_per_mm: float) -> SteelMaps:
    """Return the maps of a job's blade."""
    parts = dict(_rims(job, px_per_mm))
    for face in face_maps(job, px_per_mm):
        parts[face.side] = _face(job, face)
    wide = max(part.shape[2] for part in parts.values())
    blocks: dict[str, Block] = {}
    layers: list[Array] = []
    first = 0
    for name in FRAMES:
        part = parts[name]
        rows = part.shape[1]
        rim = ((0, 0), (BETWEEN, BETWEEN), (0, wide - part.shape[2]))
        layers.append(np.pad(part, rim, mode="edge"))
        # the rows of a rim's block lie round the mid-plane, those of a face over the edge's baseline
        top = rows / px_per_mm / (1 if name in SIDES else 2)
        blocks[name] = Block(first + BETWEEN, rows, top)
        first += rows + 2 * BETWEEN
    right, up, dark, keen = np.concatenate(layers, axis=1).astype(np.float32)
    return SteelMaps(px_per_mm, blocks, right, up, dark, keen, _edge(job, wide, px_per_mm).astype(np.float32))


def _edge(job: Job, columns: int, px_per_mm: float) -> Array:
    """Return the slopes of the sharpened edge, ``(2, columns)``: square to the edge it rises at the edge's angle."""
    outline = job.blade.outline
    along = np.minimum((np.arange(columns) + 0.5) / px_per_mm, outline.length)
    rise = np.gradient(outline.bevel_edge(along), along)
    square = np.stack([-rise, np.ones_like(rise)]) / np.hypot(1, rise)
    return np.asarray(np.tan(np.radians(job.grind.edge_angle)) * square)


def _face(job: Job, face: FaceMap) -> Array:
    """Return the four maps of a face, ``(4, rows, columns)``."""
    face = replace(face, shares=crept(face, job.seed))
    grid, ground, etch = face.grid, job.ground, job.etching
    brightness = brightness_of(np.sqrt(mixed(face, usual_tones(face, job.powders, etch.half_point))))
    stand = face.stand - np.float32(etch.depth(0.0)) * (1 - brightness)
    up, right = np.gradient(stand, 1 / grid.px_per_mm)
    dark = mixed(face, attacks(face, job.powders, etch))
    maps: Array = np.stack([right, -up, dark, np.zeros_like(stand)]).reshape(4, -1)
    for leaning in (plunge_of(face, ground), eased_corners(face.view, ground.plunge or (0.0, 0.0))):
        maps[0, leaning.at] += leaning.along
        maps[1, leaning.at] += leaning.across
    strip = sharpened(face, ground)
    shade(maps[2], *shadow_on(face.view, strip), etch)
    maps[3, strip.at] = strip.share
    maps = maps.reshape(4, *grid.shape)
    nearest = distance_transform_edt(~grid.mask, return_distances=False, return_indices=True)
    return np.asarray(maps[:, nearest[0], nearest[1]])


def _rims(job: Job, px_per_mm: float) -> Iterator[tuple[str, Array]]:
    """Yield the maps of spine, foot and heel, each ``(4, rows, columns)``."""
    origins = find_origins(job)
    ground, outline = job.ground, job.blade.outline
    along = np.clip((np.arange(ceil(outline.length * px_per_mm)) + 0.5) / px_per_mm, 0, outline.length)
    heel = 0 * along[: ceil(outline.height * px_per_mm)]
    (low,), (high,) = outline.rims(np.zeros(1))
    lower, upper = outline.rims(along)
    lines = {
        "spine": (along, upper, 1.0),
        "foot": (along, lower, -1.0),
        "heel": (heel, np.clip((np.arange(len(heel)) + 0.5) / px_per_mm, low, high), 0.0),
    }
    rows = 2 * ceil((float(ground.unground(along).max()) / 2 + abs(job.blade.placement.mid_plane) + 1) * px_per_mm)
    through = ((rows / 2 - 0.5 - np.arange(rows)) / px_per_mm)[:, None]
    for name, (at, over, outwards) in lines.items():
        right, left = (sharpened_stand(ground, side, at, over) for side in SIDES)
        inside = np.minimum(right - through, left + through)
        dark, resistance = _etched(job, origins, at, over, np.clip(through, -left, right))
        up, beside = np.gradient(-np.float32(job.etching.depth(0.0)) * (1 - resistance), 1 / px_per_mm)
        falls = STEEPEST * np.clip(1 - inside / EASED, 0, 1) * np.sign(through)
        rise = outwards * np.gradient(over, at) if outwards else np.zeros_like(at)
        yield name, np.stack([beside + rise, -up - falls, dark, np.zeros_like(dark)])


def _etched(job: Job, origins: Origins, along: Array, across: Array, through: Array) -> tuple[Array, Array]:
    """Return how far places of the blade are etched, and how far they resist; ``through`` is ``(rows, columns)``."""
    x, y, z, metal = origins.of_points("right", along[None, :], across[None, :], through)
    x, y, z = np.broadcast_arrays(x, y, z)
    shares = origins.shares(x, y, z)
    named, etch = {powder.name: powder for powder in job.powders}, job.etching
    bright = float(luminance(etch.bright))
    range_ = max(bright - fully_etched(etch), 1e-6)
    classes = [named.get(each) for each in origins.sampler.raster.classes]
    tones = [VOID_LUMINANCE if each is None else float(luminance(etch.lightness(each.nickel))) for each in classes]
    holds = [0.0 if each is None else float(etch.resistance(each.nickel)) for each in classes]
    dark = np.tensordot((bright - np.array(tones)) / range_, shares, axes=1)
    resistance = np.tensordot(np.array(holds), shares, axes=1)
    shell = origins.is_shell(x, y, z)
    off = (~metal, VOID_LUMINANCE), (shell, float(luminance(etch.shell_lightness)))
    for where, tone in off:
        if where is not None:
            dark[np.broadcast_to(where, dark.shape)] = (bright - tone) / range_
            resistance[np.broadcast_to(where, dark.shape)] = 0
    return dark, resistance
