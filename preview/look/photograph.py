"""The picture of an etched face, as a camera straight above it would take it in a studio, lying on slate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Bytes, Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.base.pictures import Packed, layers
from preview.base.units import Units
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.backdrop import backdrop
from preview.look.colours import ground_colours, key_of, steel_colours
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.facets import Answers, Facets, cell_of, facets, mixed, within
from preview.look.light import Light
from preview.look.rims import Indices, Strip
from preview.look.still import StillTable, fully_etched, still_table
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
    """The face's pixels (flat index, ascending) of which the blade covers a share, and the ground's light there."""

    at: Indices
    share: Float32
    beneath: Float32


@kept
def _ground(view: View, scale_bar: Units | None) -> tuple[Packed, _Rim]:
    """Return what the blade lies on, ``(rows, columns)`` of the picture, and the rim that lets it show."""
    light, handle = backdrop(view, scale_bar)
    shown = view.grid.shown
    at = np.flatnonzero((shown > 0) & (shown < 1))
    rim = _Rim(at, shown.ravel()[at], view.seen(light[view.inside]).ravel()[at])
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
    grounds, rims = zip(*(_ground(face.view, bar) for face, bar in zip(faces, bars, strict=True)), strict=True)
    whole = np.concatenate(grounds)
    for face, rim, part in zip(faces, rims, np.split(whole, len(faces)), strict=True):
        _lay(face, rim, part, ground, powders, etch, light, seed)
    return layers(whole)


def _lay(
    face: FaceMap,
    rim: _Rim,
    whole: Packed,
    ground: Ground,
    powders: tuple[Powder, ...],
    etch: Etch,
    light: Light,
    seed: int,
) -> None:
    """Lay a face on its ground."""
    view, grid = face.view, face.grid
    seen = facets(face, powders, etch.half_point, ground, finish_of(light), seed)
    table = still_table(light, etch, mirrored=view.mirrored)
    picture = view.seen(whole[view.inside])
    colours = steel_colours(max((powder.nickel for powder in powders), default=0.0), etch.tint)
    face, (shaded, deep) = replace(face, shares=seen.shares), seen.shadow
    rows, columns = grid.shape
    gone, deepest = attacks(face, powders, etch), float(etch.depth(0.0))

    def work(part: slice) -> None:
        dark = mixed(face, gone, part)
        at = within(shaded, part, columns)
        shade(dark.reshape(-1), shaded[at] - part.start * columns, deep[at], etch)
        lit = _steel(seen, table, dark, deepest, part)
        at = within(seen.strip.at, part, columns)
        if at.stop > at.start:
            _sharpen(lit, dark, seen.strip, at, table, part.start * columns)
        np.clip(dark, 0, 1, out=dark)
        at = within(rim.at, part, columns)
        place, beneath, flat = rim.at[at] - part.start * columns, rim.beneath[at], lit.reshape(-1)
        flat[place] = beneath + rim.share[at] * (flat[place] - beneath)
        np.copyto(picture[part], np.take(colours, key_of(lit, dark)), where=grid.shown[part] > 0)

    in_row_blocks(work, rows, columns)


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


def _steel(seen: Facets, table: StillTable, dark: Float32, deepest: float, part: slice) -> Float32:
    """Return the luminance of the steel of rows ``part``: where it looks, read for bright and dark in one.

    ``deepest`` is how deep plain steel is etched, mm.
    """
    steel = np.take(table.steel, seen.cells[part])
    columns = steel.shape[1]
    at = within(seen.relief.at, part, columns)
    moved = seen.relief.cells(at, deepest)
    steel.reshape(-1)[seen.relief.at[at] - part.start * columns] = table.steel[moved]
    lit = steel.imag * dark
    lit += steel.real
    lit *= seen.texture[part]
    return lit


def _sharpen(lit: Float32, dark: Float32, strip: Strip, at: slice, table: StillTable, first: int) -> None:
    """Lay the sharpened edge over the steel: bare, whatever the etch had done."""
    place, share = strip.at[at] - first, strip.share[at]
    keen = table.keen[cell_of(strip.along[at].copy(), strip.across[at].copy())]
    flat = lit.reshape(-1)
    flat[place] += share * (keen - flat[place])
    dark.reshape(-1)[place] *= 1 - share
