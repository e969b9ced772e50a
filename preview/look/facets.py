"""Where each pixel's steel looks: its slopes, scratches, eased corners; kept until the grind or finish changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.creep import crept
from preview.look.etch import Etch
from preview.look.plunge import plunge_of
from preview.look.rims import Indices, Strip, eased_corners, shadow_on, sharpened
from preview.look.still import CELLS, EYE, PER_UNIT
from preview.look.studio import Finish
from preview.look.texture import dither, scratches, stone_marks
from preview.pattern.nickel import mottle_levels
from preview.pattern.powders import Powder

OXIDE_SCRATCHES = 0.25
"""Slope of the scratches on the etched dark, as a share of that on bright steel: an oxide is matt (by eye)."""

PART, FARTHEST = np.float32(0.01), 320
"""What a kept place counts in, cells, and the farthest that is kept: numbers of two bytes, as many faces are kept."""

STONES, STEEP = 0.024, 3
"""Scatter of a sharpened edge's slopes from scratch to scratch, and how steeply scratches cross it (chosen by eye)."""


def mixed(
    face: FaceMap,
    powders: tuple[Powder, ...],
    answer: Callable[[Array | float], Array],
    off: tuple[float, float],
    part: slice = slice(None),
) -> Float32:
    """Return what the steel of rows ``part`` of a face answers, each powder of a pixel in its share.

    ``answer`` gives it by nickel (mass per cent), ``off`` for the can's wall and where there is no metal.
    """
    named = {powder.name: powder for powder in powders}
    mottle = None if face.mottle is None else face.mottle[part].astype(np.intp)
    answers: list[Float32 | np.float32] = []
    for name in face.classes:
        powder = named.get(name)
        if powder is None:
            answers.append(np.float32(off[1]))
        elif mottle is None or not powder.mottle:
            answers.append(np.float32(answer(powder.nickel)))
        else:
            nickel = powder.nickel * np.maximum(1 + powder.mottle * face.mottle_seen * mottle_levels(), 0)
            answers.append(np.take(answer(nickel).astype(np.float32), mottle))
    first = answers[0]
    total: Float32 = np.broadcast_to(first, face.stand[part].shape)
    for share, other in zip(face.shares, answers[1:], strict=True):
        gain = (other - first) * share[part]
        gain += total
        total = gain
    total = total if face.shares else total.copy()
    if face.shell is not None:
        total[face.shell[part]] = off[0]
    if face.lost is not None:
        total[face.lost[part]] = off[1]
    return total


Short = NDArray[np.int16]

FULL = np.float32(16_000)
"""What a difference of all the resistance from pixel to pixel counts in kept relief."""


@dataclass(frozen=True, eq=False)
class Facets:
    """Where the steel of each pixel of a face looks, as the viewer sees the face but from heel to tip.

    Parameters
    ----------
    right, up
        Place in a still table (`preview.look.still`), in `PART` of a cell, where the face is not yet etched.
    relief_right, relief_up
        By how many ``relief_part`` of a cell it moves for a millimetre of relief.
    relief_part
        What these count in, cells.
    strip
        The sharpened edge; its slopes are places in cells.
    shares
        The face's shares as the etch brings them out.
    shadow
        Pixels (flat index, ascending) that lie in a shadow, and how much of the light they lack.
    """

    right: Short
    up: Short
    relief_right: Short
    relief_up: Short
    relief_part: float
    strip: Strip
    shares: tuple[Float32, ...]
    shadow: tuple[Indices, Float32]

    def places(self, part: slice, deep: float) -> tuple[Float32, Float32]:
        """Return where rows ``part`` look, in cells rightwards and upwards, once they are etched ``deep`` mm."""
        each = []
        for place, relief in ((self.right, self.relief_right), (self.up, self.relief_up)):
            moved = np.multiply(relief[part], np.float32(deep * self.relief_part), dtype=np.float32)
            moved += np.multiply(place[part], PART, dtype=np.float32)
            each.append(moved)
        return each[0], each[1]


@kept
def facets(
    face: FaceMap, powders: tuple[Powder, ...], half_point: float, ground: Ground, finish: Finish, seed: int
) -> Facets:
    """Return where the steel of each pixel looks."""
    face = replace(face, shares=crept(face, seed))
    view, grid = face.view, face.grid
    rows, columns = grid.shape
    etch = Etch(half_point=half_point)
    lines = scratches(grid.shape, grid.px_per_mm, seed, lengthwise=finish.lengthwise)
    corners = eased_corners(view, ground.plunge or (0.0, 0.0))
    sign = -1.0 if view.mirrored else 1.0
    level, noise = level_places(view), dither(grid.shape, seed)
    right, up, relief_right, relief_up = (np.empty(grid.shape, dtype=np.int16) for _ in range(4))
    per_pixel = np.float32(grid.px_per_mm * PER_UNIT)
    seen = np.float32(finish.scratches * PER_UNIT)

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        inner = slice(part.start - wide.start, part.start - wide.start + part.stop - part.start)
        resistance = mixed(face, powders, etch.resistance, (0.0, 0.0), wide)
        aside, above = slope(face.stand[wide], inner, per_pixel, sign)
        for whole, fall in zip((relief_right, relief_up), slope(resistance, inner, FULL, sign), strict=True):
            whole[part] = fall
        line = resistance[inner] * (seen * np.float32(1 - OXIDE_SCRATCHES))
        line += seen * np.float32(OXIDE_SCRATCHES)
        line *= lines[part]
        (above if finish.lengthwise else aside)[:] += line
        for whole, place, flat, off in zip((right, up), (aside, above), level, noise, strict=True):
            place += off[part] + flat[part]
            place *= 1 / PART
            whole[part] = np.clip(place, -FARTHEST / PART, FARTHEST / PART, out=place)

    in_row_blocks(work, rows, columns)
    for leaning in (plunge_of(face, ground), corners):
        for whole, rise in ((right, sign * leaning.along), (up, leaning.across)):
            moved = whole.ravel()[leaning.at] - np.float32(PER_UNIT / PART) * rise
            whole.ravel()[leaning.at] = np.clip(moved, -FARTHEST / PART, FARTHEST / PART)
    edge = sharpened(face, ground)
    strip = _placed(edge, level, noise, sign, grid.px_per_mm, seed)
    return Facets(
        right, up, relief_right, relief_up, float(per_pixel / FULL), strip, face.shares, shadow_on(view, edge)
    )


def level_places(view: View) -> tuple[Float32, Float32]:
    """Return where a level face's pixels look, in cells of a still table rightwards and upwards; seen from `EYE`."""
    grid, outline = view.grid, view.outline
    aside = (-1.0 if view.mirrored else 1.0) * (grid.along - outline.length / 2)
    above = grid.across - outline.height / 2
    right, up = ((off * (PER_UNIT / (2 * EYE)) + CELLS / 2).astype(np.float32) for off in (aside, above))
    return np.broadcast_to(right, grid.shape), np.broadcast_to(up, grid.shape)


def _placed(
    strip: Strip,
    level: tuple[Float32, Float32],
    noise: tuple[Float32, Float32],
    sign: float,
    px_per_mm: float,
    seed: int,
) -> Strip:
    """Return a strip whose slopes are places in a still table, with the scratches that stones leave across it."""
    columns = level[0].shape[1]
    row, column = np.divmod(strip.at, columns)
    lines = stone_marks(columns, px_per_mm, seed)[(column + row // STEEP) % columns] * np.float32(STONES * PER_UNIT)
    right, up = (off[row, column] + flat[row, column] for flat, off in zip(level, noise, strict=True))
    right = right - np.float32(sign * PER_UNIT) * strip.along + lines
    up = up - np.float32(PER_UNIT) * strip.across + lines
    return replace(strip, along=right, across=up)


def slope(height: Float32, inner: slice, scale: np.float32, sign: float) -> tuple[Float32, Float32]:
    """Return how a height falls rightwards and upwards, for rows ``inner`` of it.

    ``scale`` is what a difference of 1 from pixel to pixel counts; ``sign`` is -1 where the tip is on the left.
    """
    rows = height[inner]
    right, up = np.empty_like(rows), np.empty_like(rows)
    half = np.float32(0.5) * scale
    np.subtract(rows[:, :-2], rows[:, 2:], out=right[:, 1:-1])
    right[:, 0] = 2 * (rows[:, 0] - rows[:, 1])
    right[:, -1] = 2 * (rows[:, -2] - rows[:, -1])
    right *= half * np.float32(sign)
    first, last = inner.start == 0, inner.stop == len(height)
    middle = slice(1 if first else 0, len(rows) - 1 if last else len(rows))
    above = height[inner.start + middle.start - 1 : inner.start + middle.stop - 1]
    below = height[inner.start + middle.start + 1 : inner.start + middle.stop + 1]
    np.subtract(below, above, out=up[middle])
    if first:
        up[0] = 2 * (rows[1] - rows[0])
    if last:
        up[-1] = 2 * (rows[-1] - rows[-2])
    up *= half
    return right, up
