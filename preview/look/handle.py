"""How what lies behind the heel looks: a handle of wood, its collar, a bare tang; in the studio as it stands."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from PIL import Image

from preview.base.arrays import Array, Float32
from preview.blade.grind import Side
from preview.blade.handle import FLATTER, SQUARER
from preview.blade.outlines import Outline
from preview.face.view import View
from preview.look.studio import GLOSS, REACH, blurred, matt_of, read, room_of

BARE_STEEL, WOOD = (0.06, 0.22), (0.068, 0.03)
"""Luminance of what is matt and of what is glossy of a tang that is neither ground nor etched, and of a handle, in an
even studio. Dull, so that the blade is looked at (chosen by eye)."""

TURNED = 0.035
"""Relative scatter of a collar's light along the blade: it was rubbed round about (chosen by eye)."""

JOINTS = 0.18, 0.5
"""How far the dark of a joint reaches, mm: of wood and collar, and of collar and blade (chosen by eye)."""

LIGHTS = 256
"""Steps of height in which a handle's light is told, from its lowest place to its highest."""

GRAIN_SIZE, GRAIN_FINE = (176.0, 44.0), (4.0, 14.0)
"""The wood that is told, along the handle and across it, mm; and steps in a millimetre."""

WOODS = ((1.0, 2.3, 0.42), (0.74, 1.5, 0.34), (1.22, 3.1, 0.5))
"""Woods there are: how light, width of a year's ring, mm, and how much darker the wood is at its end (by eye)."""

FIBRES = ((9.0, 0.08, 0.10), (26.0, 0.35, 0.07))
"""Fibres: length, width, mm, and how much each counts (chosen by eye)."""

PORES = (2.2, 0.09, 1.7, 0.30)
"""Length and width of pores, mm, how rare they are (standard deviations), and how much darker (chosen by eye)."""


@dataclass(frozen=True)
class Board:
    """What a handle's side is sawn from: one of `WOODS`, and where in the tree."""

    wood: int
    cut: int

    @classmethod
    def of(cls, seed: int, outline: Outline, side: Side) -> Board:
        """Return the board of a blade's handle: both sides of one wood, each with a cut of its own."""
        return cls((seed + round(outline.length) + round(outline.height)) % len(WOODS), 2 * seed + (side == "left"))


@lru_cache(maxsize=4)
def wood_grain(board: Board) -> Float32:
    """Return the light of wood from place to place, about 1: ``(rows, columns)`` of `GRAIN_SIZE`."""
    rng = np.random.default_rng([board.cut, 11])
    bright, rings, dark_late = WOODS[board.wood]
    columns, rows = (round(size * fine) for size, fine in zip(GRAIN_SIZE, GRAIN_FINE, strict=True))

    def noise(long: float, wide: float) -> Array:
        steps = (max(1.0, 2 * size * fine) for size, fine in zip((wide, long), GRAIN_FINE[::-1], strict=True))
        coarse = [int(side / step) + 3 for side, step in zip((rows, columns), steps, strict=True)]
        each = Image.fromarray(rng.standard_normal(coarse, dtype=np.float32))
        made = np.asarray(each.resize((columns, rows), Image.Resampling.BICUBIC))
        return np.asarray(made / made.std())

    x = np.arange(columns) / GRAIN_FINE[0]
    y = (np.arange(rows) / GRAIN_FINE[1] - GRAIN_SIZE[1] / 2)[:, None]
    # a board sawn beside the heart: rings round an axis that lies askew and winds a little
    off, deep, askew, begin = rng.uniform((-9, 7, -0.05, 0), (9, 15, 0.05, 40))
    winding = 1.5 * np.sin((x + begin) / 23), 1.6 * np.sin((x + begin) / 37)
    radius = np.hypot(y + off + winding[0], deep + askew * x + winding[1])
    ring = np.mod((radius + 0.5 * noise(26, 2.2) + 0.08 * noise(7, 0.5)) / rings, 1)
    late = ring**2.5 * np.clip((1 - ring) / 0.07, 0, 1)
    light = 1.08 - dark_late * late + sum(share * noise(long, wide) for long, wide, share in FIBRES)
    long, wide, rare, depth = PORES
    light *= 1 - depth * np.clip((noise(long, wide) - rare) / 0.5, 0, 1) * (0.4 + 0.6 * (1 - ring))
    light *= 1 + 0.05 * noise(4.0, 9.0)
    return np.asarray(bright * light, dtype=np.float32)


@lru_cache(maxsize=2)
def light_over(matt: float, gloss: float) -> Float32:
    """Return what a handle of such steel or wood sends back, straight on, from its lowest place to its highest."""
    up = np.linspace(-0.995, 0.995, LIGHTS)
    thick = FLATTER * (1 - np.abs(up) ** SQUARER) ** (1 / SQUARER)
    out = np.stack([0 * up, np.sign(up) * np.abs(up) ** (SQUARER - 1), (thick / FLATTER) ** (SQUARER - 1) / FLATTER])
    out /= np.linalg.norm(out, axis=0)
    mirrored = 2 * out[2] * out - np.array([[0], [0], [1]])
    shiny = blurred(room_of("soft box"), (GLOSS[0], GLOSS[0]), REACH)
    lit = matt * read(matt_of("soft box"), *(out[:2] / (1 + out[2])))
    return np.asarray(lit + gloss * read(shiny, *(mirrored[:2] / np.maximum(1 + mirrored[2], 1e-3))), dtype=np.float32)


def behind_light(view: View, shape: tuple[int, int], seed: int) -> tuple[Float32, Float32]:
    """Return the light of what lies behind the heel and where it is wood, ``(rows, columns)`` of the picture.

    What is no handle has a bare tang's light, whether there is one or not.
    """
    rows, columns = shape
    lit = np.full(shape, light_over(*BARE_STEEL)[LIGHTS // 2], dtype=np.float32)
    wood = np.zeros(shape, dtype=np.float32)
    grip = view.behind.grip
    if not grip.size:
        return lit, wood
    (_, below), (left, right) = view.rim
    back = right if view.mirrored else left
    along = -(np.arange(back) + 0.5)[::-1] / view.px_per_mm  # from the picture's end to the heel
    across = (rows - below - np.arange(rows) - 0.5)[:, None] / view.px_per_mm
    low, high = (np.interp(along, grip[:, 0], side).astype(np.float32) for side in grip[:, 1:].T)
    place = (across.astype(np.float32) - low) * (LIGHTS / np.maximum(high - low, 0.1))
    number = np.clip(place, 0, LIGHTS - 1).astype(np.int32)
    is_wood = np.clip((view.behind.collar - along) * view.px_per_mm + 0.5, 0, 1).astype(np.float32)
    steel, woody = (light_over(*kind)[number] for kind in (BARE_STEEL, WOOD))
    steel = steel * (1 + np.float32(TURNED) * np.random.default_rng(13).standard_normal(back, dtype=np.float32))
    shown = steel + is_wood * (
        woody * _grain_of(Board.of(seed, view.outline, view.side), along, across)[:: -1 if view.mirrored else 1] - steel
    )
    for place, wide in zip((view.behind.collar, 0.0), JOINTS, strict=True):
        shown *= 1 - 0.5 * np.exp(-np.abs(along - place) / wide).astype(np.float32)
    inside = slice(columns - back, columns) if view.mirrored else slice(0, back)
    turned = slice(None, None, -1) if view.mirrored else slice(None)
    lit[:, inside] = shown[:, turned]
    wood[:, inside] = is_wood[turned]
    return lit, wood


def _grain_of(board: Board, along: Array, across: Array) -> Float32:
    """Return the wood's light at a picture's columns and rows."""
    grain = Image.fromarray(wood_grain(board))
    ends = (along[0], along[-1]), (across[0, 0], across[-1, 0])
    box = [
        np.clip((end - start) * fine, 0, most)
        for (first, last), start, fine, most in zip(
            ends, (-GRAIN_SIZE[0], GRAIN_SIZE[1]), (GRAIN_FINE[0], -GRAIN_FINE[1]), grain.size, strict=True
        )
        for end in (first, last)
    ]
    size = len(along), len(across)
    region = (box[0], box[2], max(box[1], box[0] + 1), max(box[3], box[2] + 1))
    return np.asarray(grain.resize(size, Image.Resampling.BICUBIC, box=region), dtype=np.float32)
