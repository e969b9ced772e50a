"""Which entry of the palette each pixel shows: its tone, slope, scratches, corners; kept until the grind changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.answers import Answers, mixed
from preview.look.creep import crept
from preview.look.etch import SHELL_LIGHTNESS_SHARE, Etch
from preview.look.palette import Entries, brightness_of, levels_of, usual_tone
from preview.look.plunge import plunge_of
from preview.look.rims import Indices, Strip, eased_corners, shadow_on, sharpened
from preview.look.rubbing import rubbed
from preview.look.still import CELLS, EYE, cells_of, from_aside
from preview.look.studio import Finish
from preview.look.texture import dither, stone_marks, textures
from preview.pattern.powders import Powder

OXIDE_SCRATCHES = 0.15
"""Slope of the scratches on the etched dark, as a share of that on bright steel: an oxide is matt (by eye)."""

STEEP_RELIEF = np.float32(1 / 40)
"""From which difference of brightness from pixel to pixel on the relief is told: with less it hardly moves a cell."""

STONES, STEEP = 0.034, 3
"""Scatter of a sharpened edge's slopes from scratch to scratch, and how steeply scratches cross it (chosen by eye)."""


@dataclass(frozen=True, eq=False)
class Relief:
    """Pixels (flat index, ascending) where the etch leaves a step, and so looks elsewhere the longer it lasts.

    Parameters
    ----------
    level
        The first entry of each one's level in a palette.
    right, up
        Where each looks, in coordinates of a still table, where the face is not yet etched.
    moves_right, moves_up
        How far that moves for a millimetre of relief.
    """

    at: Indices
    level: Entries
    right: Float32
    up: Float32
    moves_right: Float32
    moves_up: Float32

    def entries(self, these: slice, deep: float) -> Entries:
        """Return what some of them show once the face is etched ``deep`` mm."""
        right, up = (np.float32(deep) * each[these] for each in (self.moves_right, self.moves_up))
        return cells_of(self.right[these] + right, self.up[these] + up) + self.level[these]


@dataclass(frozen=True, eq=False)
class Keen:
    """Pixels (flat index, ascending) of a sharpened edge: the share of each that it covers, and its cell."""

    at: Indices
    share: Float32
    cell: Entries


@dataclass(frozen=True, eq=False)
class Facets:
    """What the steel of each pixel of a face shows, as the viewer sees the face but from heel to tip.

    Parameters
    ----------
    entries
        Flat index of a palette (`preview.look.palette`), ``(rows, columns)``, where the face is not yet etched.
    relief
        What is moved from there by the etch.
    keen
        The sharpened edge.
    """

    entries: Entries
    relief: Relief
    keen: Keen


@kept
def facets(
    face: FaceMap, powders: tuple[Powder, ...], half_point: float, ground: Ground, finish: Finish, seed: int
) -> Facets:
    """Return what the steel of each pixel shows."""
    face = replace(face, shares=crept(face, seed))
    view, grid = face.view, face.grid
    rows, columns = grid.shape
    bright, etched = _roots(grid.shape, grid.px_per_mm, seed)
    sign = -1.0 if view.mirrored else 1.0
    plunge = ground.plunge or (0.0, 0.0)
    lines = rubbed(view, plunge, seed, lengthwise=finish.lengthwise)
    hollow, corners = plunge_of(face, ground), eased_corners(view, plunge)
    edge = sharpened(face, ground)
    shaded, deep = shadow_on(view, edge)
    deep = np.sqrt(1 - deep)
    tones = usual_tones(face, powders, half_point)
    level, (aside_noise, above_noise, rounding) = level_places(view), _noise(grid.shape, seed)
    entries = np.empty(grid.shape, dtype=np.int32)
    per_pixel, seen = np.float32(grid.px_per_mm), np.float32(finish.scratches)
    reliefs: dict[int, tuple[NDArray[Any], ...]] = {}

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        inner = slice(part.start - wide.start, part.start - wide.start + part.stop - part.start)
        first = part.start * columns
        root = mixed(face, tones, wide)
        np.sqrt(root, out=root)
        brightness = brightness_of(root)
        aside, above = slope(face.stand[wide], inner, per_pixel, sign)
        moves = slope(brightness, inner, per_pixel, sign)
        brightness = brightness[inner]
        line = brightness * (seen * np.float32(1 - OXIDE_SCRATCHES))
        line += seen * np.float32(OXIDE_SCRATCHES)
        line *= lines[part]
        (above if finish.lengthwise else aside)[:] += line
        for place, flat in zip((aside, above), level, strict=True):
            place += flat[part]
        for leaning in (hollow, corners):
            at = within(leaning.at, part, columns)
            aside.reshape(-1)[leaning.at[at] - first] -= np.float32(sign) * leaning.along[at]
            above.reshape(-1)[leaning.at[at] - first] -= leaning.across[at]
        _look_aslant(aside, above, level, hollow.at[within(hollow.at, part, columns)], first)
        grain = bright[part] - etched[part]
        grain *= brightness
        grain += etched[part]
        grain *= root[inner]
        at = within(shaded, part, columns)
        grain.reshape(-1)[shaded[at] - first] *= deep[at]
        levels = levels_of(grain, rounding[part])
        least = STEEP_RELIEF * per_pixel
        steep = np.flatnonzero((np.abs(moves[0]) > least) | (np.abs(moves[1]) > least))
        reliefs[first] = steep + first, *(each.reshape(-1)[steep] for each in (levels, aside, above, *moves))
        np.add(levels, cells_of(aside, above, (aside_noise[part], above_noise[part])), out=entries[part])

    in_row_blocks(work, rows, columns)
    relief = Relief(*map(np.concatenate, zip(*(reliefs[first] for first in sorted(reliefs)), strict=True)))
    return Facets(entries, relief, _keen(edge, level, (aside_noise, above_noise), sign, grid.px_per_mm, seed))


def usual_tones(face: FaceMap, powders: tuple[Powder, ...], half_point: float) -> Answers:
    """Return the luminance of each class by the usual etch, nothing where there is no steel."""
    etch = Etch(half_point=half_point)
    shell = float(usual_tone(SHELL_LIGHTNESS_SHARE))
    return Answers.of(face, powders, lambda nickel: usual_tone(etch.resistance(nickel)), (shell, 0.0))


@kept
def _noise(shape: tuple[int, int], seed: int) -> tuple[Float32, Float32, Float32]:
    """Return where the middle of a still table is, rightwards and upwards, and the noise of a level."""
    aside, above, rounding = dither(shape, seed)
    return aside + np.float32(CELLS / 2), above + np.float32(CELLS / 2), rounding


@kept
def _roots(shape: tuple[int, int], px_per_mm: float, seed: int) -> tuple[Float32, Float32]:
    """Return the roots of `textures`."""
    bright, etched = textures(shape, px_per_mm, seed)
    return np.sqrt(bright), np.sqrt(etched)


def within(places: Indices, part: slice, columns: int) -> slice:
    """Return which of some ascending pixels (flat index) lie in rows ``part``."""
    first, last = np.searchsorted(places, (part.start * columns, part.stop * columns))
    return slice(int(first), int(last))


def level_places(view: View) -> tuple[Float32, Float32]:
    """Return where a level face's pixels look, in coordinates of a still table rightwards and upwards; from `EYE`."""
    grid, outline = view.grid, view.outline
    aside = (-1.0 if view.mirrored else 1.0) * (grid.along - outline.length / 2)
    above = grid.across - outline.height / 2
    right, up = ((off / (2 * EYE)).astype(np.float32) for off in (aside, above))
    return np.broadcast_to(right, grid.shape), np.broadcast_to(up, grid.shape)


def _look_aslant(aside: Float32, above: Float32, level: tuple[Float32, Float32], steep: Indices, first: int) -> None:
    """Make exact where ``steep`` pixels (flat index) look, given some rows of the face, which begin at ``first``."""
    row, column = np.divmod(steep, aside.shape[1])
    flat = level[0][row, column] + 1j * level[1][row, column]
    inside = row - first // aside.shape[1], column
    looks = from_aside(aside[inside] + 1j * above[inside] - flat, flat)
    aside[inside], above[inside] = looks.real, looks.imag


def _keen(
    strip: Strip,
    level: tuple[Float32, Float32],
    noise: tuple[Float32, Float32],
    sign: float,
    px_per_mm: float,
    seed: int,
) -> Keen:
    """Return a strip by its cells in a still table, with the scratches that stones leave across it."""
    columns = level[0].shape[1]
    edge = strip.share > 0
    at = strip.at[edge]
    row, column = np.divmod(at, columns)
    lines = stone_marks(columns, px_per_mm, seed)[(column + row // STEEP) % columns] * np.float32(STONES)
    right, up = (flat[row, column] + lines for flat in level)
    right -= np.float32(sign) * strip.along[edge]
    up -= strip.across[edge]
    return Keen(at, strip.share[edge], cells_of(right, up, (noise[0][row, column], noise[1][row, column])))


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
