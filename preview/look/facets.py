"""Where each pixel's steel looks: its slopes, scratches, eased corners; kept until the grind or finish changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

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
from preview.look.texture import dither, scratches, stone_marks, textures
from preview.pattern.nickel import mottle_levels
from preview.pattern.powders import Powder

OXIDE_SCRATCHES = 0.25
"""Slope of the scratches on the etched dark, as a share of that on bright steel: an oxide is matt (by eye)."""

STEEP_RELIEF = np.float32(1 / 64)
"""From which difference of resistance from pixel to pixel on the relief is told: with less it moves no cell."""

STONES, STEEP = 0.024, 3
"""Scatter of a sharpened edge's slopes from scratch to scratch, and how steeply scratches cross it (chosen by eye)."""


Cells = NDArray[np.int32]
"""Flat indices of a still table."""


@dataclass(frozen=True, eq=False)
class Answers:
    """What a face's steel answers, whatever is asked: of each of its classes, of the can's wall, where no metal is.

    Parameters
    ----------
    classes
        A number for each of the face's classes, or 256 by the bytes of its mottle, float32.
    shell, lost
        The other two.
    """

    classes: tuple[Float32 | np.float32, ...]
    shell: float
    lost: float

    @classmethod
    def of(
        cls,
        face: FaceMap,
        powders: tuple[Powder, ...],
        answer: Callable[[Array | float], Array],
        off: tuple[float, float] = (0.0, 0.0),
    ) -> Answers:
        """Return what ``answer`` gives by nickel (mass per cent), and ``off`` of the can's wall and of no metal."""
        named = {powder.name: powder for powder in powders}
        classes: list[Float32 | np.float32] = []
        for name in face.classes:
            powder = named.get(name)
            if powder is None:
                classes.append(np.float32(off[1]))
            elif face.mottle is None or not powder.mottle:
                classes.append(np.float32(answer(powder.nickel)))
            else:
                nickel = powder.nickel * np.maximum(1 + powder.mottle * face.mottle_seen * mottle_levels(), 0)
                classes.append(answer(nickel).astype(np.float32))
        return cls(tuple(classes), *off)


def mixed(face: FaceMap, answers: Answers, part: slice = slice(None)) -> Float32:
    """Return what the steel of rows ``part`` of a face answers, each class of a pixel in its share."""
    mottle = None
    each: list[Float32 | np.float32] = []
    for known in answers.classes:
        if known.ndim and face.mottle is not None:
            mottle = face.mottle[part].astype(np.intp) if mottle is None else mottle
            each.append(np.take(known, mottle))
        else:
            each.append(known)
    first = each[0]
    total: Float32 = np.broadcast_to(first, face.stand[part].shape)
    for share, other in zip(face.shares, each[1:], strict=True):
        gain = (other - first) * share[part]
        gain += total
        total = gain
    total = total if face.shares else total.copy()
    if face.shell is not None:
        total[face.shell[part]] = answers.shell
    if face.lost is not None:
        total[face.lost[part]] = answers.lost
    return total


@dataclass(frozen=True, eq=False)
class Relief:
    """Pixels (flat index, ascending) where the etch leaves a step, and so looks elsewhere the longer it lasts.

    Parameters
    ----------
    right, up
        Place of each in a still table, in cells, where the face is not yet etched.
    moves_right, moves_up
        By how many cells it moves for a millimetre of relief.
    """

    at: Indices
    right: Float32
    up: Float32
    moves_right: Float32
    moves_up: Float32

    def cells(self, these: slice, deep: float) -> Cells:
        """Return the cells where some of them look once the face is etched ``deep`` mm."""
        right, up = (np.float32(deep) * each[these] for each in (self.moves_right, self.moves_up))
        return cell_of(self.right[these] + right, self.up[these] + up)


@dataclass(frozen=True, eq=False)
class Facets:
    """Where the steel of each pixel of a face looks, as the viewer sees the face but from heel to tip.

    Parameters
    ----------
    cells
        Flat index of a still table (`preview.look.still`), ``(rows, columns)``, where the face is not yet etched.
    relief
        What is moved from there by the etch.
    texture
        The light of the steel from place to place, about 1, ``(rows, columns)``.
    strip
        The sharpened edge; its slopes are places in cells.
    shares
        The face's shares as the etch brings them out.
    shadow
        Pixels (flat index, ascending) that lie in a shadow, and how much of the light they lack.
    """

    cells: Cells
    relief: Relief
    texture: Float32
    strip: Strip
    shares: tuple[Float32, ...]
    shadow: tuple[Indices, Float32]


@kept
def facets(
    face: FaceMap, powders: tuple[Powder, ...], half_point: float, ground: Ground, finish: Finish, seed: int
) -> Facets:
    """Return where the steel of each pixel looks."""
    face = replace(face, shares=crept(face, seed))
    view, grid = face.view, face.grid
    rows, columns = grid.shape
    lines = scratches(grid.shape, grid.px_per_mm, seed, lengthwise=finish.lengthwise)
    bright, etched = textures(grid.shape, grid.px_per_mm, seed)
    sign = -1.0 if view.mirrored else 1.0
    leanings = plunge_of(face, ground), eased_corners(view, ground.plunge or (0.0, 0.0))
    answers = Answers.of(face, powders, Etch(half_point=half_point).resistance)
    level, noise = level_places(view), dither(grid.shape, seed)
    cells, texture = np.empty(grid.shape, dtype=np.int32), np.empty(grid.shape, dtype=np.float32)
    per_pixel = np.float32(grid.px_per_mm * PER_UNIT)
    seen = np.float32(finish.scratches * PER_UNIT)
    reliefs: dict[int, tuple[NDArray[Any], ...]] = {}

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        inner = slice(part.start - wide.start, part.start - wide.start + part.stop - part.start)
        resistance = mixed(face, answers, wide)
        aside, above = slope(face.stand[wide], inner, per_pixel, sign)
        moves = slope(resistance, inner, np.float32(1), sign)
        resistance = resistance[inner]
        line = resistance * (seen * np.float32(1 - OXIDE_SCRATCHES))
        line += seen * np.float32(OXIDE_SCRATCHES)
        line *= lines[part]
        (above if finish.lengthwise else aside)[:] += line
        for place, flat, off in zip((aside, above), level, noise, strict=True):
            place += off[part] + flat[part]
        for leaning in leanings:
            at = within(leaning.at, part, columns)
            here = leaning.at[at] - part.start * columns
            aside.reshape(-1)[here] -= np.float32(sign * PER_UNIT) * leaning.along[at]
            above.reshape(-1)[here] -= np.float32(PER_UNIT) * leaning.across[at]
        steep = np.flatnonzero((np.abs(moves[0]) > STEEP_RELIEF) | (np.abs(moves[1]) > STEEP_RELIEF))
        places, moved = ([each.reshape(-1)[steep] for each in both] for both in ((aside, above), moves))
        reliefs[part.start] = steep + part.start * columns, *places, *(per_pixel * each for each in moved)
        cells[part] = cell_of(aside, above)
        of_both = bright[part] - etched[part]
        of_both *= resistance
        np.add(of_both, etched[part], out=texture[part])

    in_row_blocks(work, rows, columns)
    relief = Relief(*map(np.concatenate, zip(*(reliefs[start] for start in sorted(reliefs)), strict=True)))
    edge = sharpened(face, ground)
    strip = _placed(edge, level, noise, sign, grid.px_per_mm, seed)
    return Facets(cells, relief, texture, strip, face.shares, shadow_on(view, edge))


def cell_of(right: Float32, up: Float32) -> Cells:
    """Return the flat index of places in a still table; takes its arguments as room to work in."""
    for place in (right, up):
        np.clip(place, 0, CELLS - 1, out=place)
    index = up.astype(np.int32)
    index *= CELLS
    index += right.astype(np.int32)
    return index


def within(places: Indices, part: slice, columns: int) -> slice:
    """Return which of some ascending pixels (flat index) lie in rows ``part``."""
    first, last = np.searchsorted(places, (part.start * columns, part.stop * columns))
    return slice(int(first), int(last))


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
