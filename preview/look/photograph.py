"""The picture of an etched face, as a camera straight above it would take it in a studio, lying on slate."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from preview.base.arrays import Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.base.pictures import Packed, layers
from preview.base.units import Units
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.answers import Answers, mixed
from preview.look.backdrop import backdrop
from preview.look.colours import ground_colours, key_of, steel_colours
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.facets import Keen, facets, within
from preview.look.light import Light
from preview.look.palette import Entries, Palette, palette_of
from preview.look.rims import Indices
from preview.look.still import fully_etched
from preview.look.studio import finish_of
from preview.pattern.powders import Powder


def etched(
    face: FaceMap, powders: tuple[Powder, ...], etch: Etch, part: slice = slice(None)
) -> tuple[Float32, Float32]:
    """Return reflectance (linear luminance) and resistance to the etch (0 to 1) of rows ``part`` of a face.

    A pixel that holds several powders shows each one's in its share.
    """
    shell = float(luminance(etch.shell_lightness))
    tone = Answers.of(face, powders, lambda nickel: luminance(etch.lightness(nickel)), (shell, VOID_LUMINANCE))
    return mixed(face, tone, part), mixed(face, Answers.of(face, powders, etch.resistance), part)


@dataclass(frozen=True, eq=False)
class _Rim:
    """The face's pixels (flat index, ascending) of which the blade covers a share, and the ground's light there.

    ``inside``, ``(rows, columns)``, are all that it covers wholly or in part.
    """

    at: Indices
    share: Float32
    beneath: Float32
    inside: Mask


@kept
def _ground(view: View, scale_bar: Units | None, seed: int) -> tuple[Packed, _Rim]:
    """Return what the blade lies on, ``(rows, columns)`` of the picture, and the rim that lets it show."""
    light, handle = backdrop(view, scale_bar, seed)
    shown = view.grid.shown
    at = np.flatnonzero((shown > 0) & (shown < 1))
    rim = _Rim(at, shown.ravel()[at], view.seen(light[view.inside]).ravel()[at], shown > 0)
    return np.take(ground_colours(), key_of(light, handle)), rim


def photograph(
    faces: Sequence[FaceMap],
    ground: Ground,
    powders: tuple[Powder, ...],
    etch: Etch,
    light: Light,
    seed: int,
    *,
    scale_bar: Units | None,
) -> Bytes:
    """Return faces as the viewer sees them, each on its ground, one below the other: sRGB bytes ``(rows, columns, 3)``.

    The scale bar stands in the last one's corner.
    """
    bars = [None] * (len(faces) - 1) + [scale_bar]
    grounds = [_ground(face.view, bar, seed) for face, bar in zip(faces, bars, strict=True)]
    rows, columns = grounds[0][0].shape
    whole = np.empty((len(faces) * rows, columns), dtype=np.uint32)
    each = zip(faces, grounds, np.split(whole, len(faces)), strict=True)
    lays = [_laying(face, lies_on, part, ground, powders, etch, light, seed) for face, lies_on, part in each]

    def work(part: slice) -> None:
        for number in range(part.start // rows, ceil(part.stop / rows)):
            lays[number](_cut(part, number * rows, rows))

    in_row_blocks(work, *whole.shape)
    return layers(whole)


def _laying(
    face: FaceMap,
    lies_on: tuple[Packed, _Rim],
    whole: Packed,
    ground: Ground,
    powders: tuple[Powder, ...],
    etch: Etch,
    light: Light,
    seed: int,
) -> Callable[[slice], None]:
    """Return what lays some rows of a face's picture: what it lies on, and the face."""
    view, (around, rim) = face.view, lies_on
    seen = facets(face, powders, etch.half_point, ground, finish_of(light), seed)
    nickel = max((powder.nickel for powder in powders), default=0.0)
    palette = palette_of(light, etch, nickel, mirrored=view.mirrored)
    colours, several = steel_colours(nickel, etch.tint), _several(seen.keen, rim)
    inside, deepest = view.inside, float(etch.depth(0.0))
    picture = view.seen(whole[inside])
    rows, columns = view.grid.shape

    def lay(rows_of_picture: slice) -> None:
        whole[rows_of_picture] = around[rows_of_picture]
        part = _cut(rows_of_picture, inside[0].start, rows)
        first = part.start * columns
        entries = seen.entries[part]
        shown = np.take(palette.shown, entries)
        at = within(seen.relief.at, part, columns)
        shown.reshape(-1)[seen.relief.at[at] - first] = np.take(palette.shown, seen.relief.entries(at, deepest))
        at = within(several.at, part, columns)
        here = several.at[at] - first
        lit, share = _lit(several, at, palette, entries.reshape(-1)[here])
        shown.reshape(-1)[here] = np.take(colours, key_of(lit, share))
        np.copyto(picture[part], shown, where=rim.inside[part])

    return lay


def _cut(part: slice, first: int, rows: int) -> slice:
    """Return which of ``rows`` rows, the first of which is number ``first``, lie in ``part``: maybe none."""
    begin, end = (min(max(place - first, 0), rows) for place in (part.start, part.stop))
    return slice(begin, end)


@dataclass(frozen=True, eq=False)
class _Several:
    """Pixels (flat index, ascending) that show more than one entry of a palette: sharpened edge, the blade's rim.

    Parameters
    ----------
    keen, cell
        Share of each that the edge covers, and the edge's cell in a still table.
    cover, beneath
        Share of each that the blade covers, and the ground's light there.
    """

    at: Indices
    keen: Float32
    cell: Entries
    cover: Float32
    beneath: Float32


@kept
def _several(keen: Keen, rim: _Rim) -> _Several:
    at = np.sort(np.concatenate([keen.at, rim.at]), kind="stable")  # two ascending runs, which it merges
    at = at[np.diff(at, prepend=-1) > 0]
    edge, round_ = np.searchsorted(at, keen.at), np.searchsorted(at, rim.at)
    share, beneath, cover = np.zeros((3, at.size), dtype=np.float32)
    cell = np.zeros(at.size, dtype=np.int32)
    share[edge], cell[edge] = keen.share, keen.cell
    cover[:] = 1
    cover[round_], beneath[round_] = rim.share, rim.beneath
    return _Several(at, share, cell, cover, beneath)


def _lit(several: _Several, these: slice, palette: Palette, entries: Entries) -> tuple[Float32, Float32]:
    """Return light and the dark's share of some pixels whose steel shows ``entries``, the edge bare in any etch."""
    light, share = palette.light(entries)
    light += several.keen[these] * (palette.table.keen[several.cell[these]] - light)
    share *= 1 - several.keen[these]
    beneath = several.beneath[these]
    return beneath + several.cover[these] * (light - beneath), share


def shade(dark: Float32, at: Indices, deep: Float32, etch: Etch) -> None:
    """Shade pixels ``at`` of ``dark``, flat, as `attacks` have it: where ``deep`` is 1 they send nothing back."""
    bright = float(luminance(etch.bright))
    nothing = np.float32(bright / max(bright - fully_etched(etch), 1e-6))
    dark[at] += deep * (nothing - dark[at])


def attacks(face: FaceMap, powders: tuple[Powder, ...], etch: Etch) -> Answers:
    """Return how far each class has gone from bright (0) to fully etched (1); what is no steel goes beyond."""
    bright = float(luminance(etch.bright))
    range_ = max(bright - fully_etched(etch), 1e-6)
    off = (bright - float(luminance(etch.shell_lightness))) / range_, (bright - VOID_LUMINANCE) / range_
    return Answers.of(face, powders, lambda nickel: (bright - luminance(etch.lightness(nickel))) / range_, off)
