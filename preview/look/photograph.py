"""The picture of an etched face, as a camera straight above it would take it in a studio, lying on slate."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.base.units import Units
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.backdrop import backdrop
from preview.look.colours import BESIDE, ground_colours, key_of, layers, steel_colours
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.facets import Facets, facets, mixed
from preview.look.light import Light
from preview.look.rims import Indices, Strip
from preview.look.still import CELLS, StillTable, fully_etched, still_table
from preview.look.studio import finish_of
from preview.look.texture import clouds, grain
from preview.pattern.powders import Powder

GRAIN, CLOUDY = 0.016, 0.022
"""Relative scatter of the steel's light from pixel to pixel, and over some millimetres (chosen by eye)."""


def etched(
    face: FaceMap, powders: tuple[Powder, ...], etch: Etch, part: slice = slice(None)
) -> tuple[Float32, Float32]:
    """Return reflectance (linear luminance) and resistance to the etch (0 to 1) of rows ``part`` of a face.

    A pixel that holds several powders shows each one's in its share.
    """
    shell = float(luminance(etch.shell_lightness))
    tone = mixed(face, powders, lambda nickel: luminance(etch.lightness(nickel)), (shell, VOID_LUMINANCE), part)
    return tone, mixed(face, powders, etch.resistance, (0.0, 0.0), part)


@kept
def _ground(view: View, scale_bar: Units | None) -> Bytes:
    light, handle = backdrop(view, scale_bar)
    return layers(np.take(ground_colours(), key_of(light.copy(), handle.copy())))[..., :3].copy()


@kept
def _beside(view: View) -> Mask:
    """Return the pixels that the blade does not cover, ``(rows, columns)``."""
    return np.asarray(view.grid.shown == 0)


@kept
def _grained(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    return 1 + np.float32(GRAIN) * grain(shape, seed) + np.float32(CLOUDY) * clouds(shape, px_per_mm, seed)


def photograph(
    face: FaceMap,
    ground: Ground,
    powders: tuple[Powder, ...],
    etch: Etch,
    light: Light,
    seed: int,
    *,
    scale_bar: Units | None,
) -> Bytes:
    """Return one face as sRGB bytes ``(rows, columns, 3)``, as the viewer sees it, on its ground."""
    view, grid = face.view, face.grid
    seen = facets(face, powders, etch.half_point, ground, finish_of(light), seed)
    table = still_table(light, etch, mirrored=view.mirrored)
    whole = _ground(view, scale_bar).copy()
    picture = view.seen(whole[view.inside])
    beneath = view.seen(backdrop(view, scale_bar)[0][view.inside])
    colours = steel_colours(max((powder.nickel for powder in powders), default=0.0), etch.tint)
    grained, beside = _grained(grid.shape, grid.px_per_mm, seed), _beside(view)
    rows, columns = grid.shape

    def work(part: slice) -> None:
        dark = attacked(face, powders, etch, part)
        lit = _steel(seen, table, dark, etch, part)
        at = _within(seen.strip.at, part, columns)
        if at.stop > at.start:
            _sharpen(lit, dark, seen.strip, at, table, part.start * columns)
        lit *= grained[part]
        np.clip(dark, 0, 1, out=dark)
        np.copyto(dark, np.float32(BESIDE), where=beside[part])
        lit -= beneath[part]
        lit *= grid.shown[part]
        lit += beneath[part]
        shown = layers(np.take(colours, key_of(lit, dark)))
        for layer in range(3):  # one by one: numpy is many times as slow at all three together
            picture[part, :, layer] = shown[..., layer]

    in_row_blocks(work, rows, columns)
    return whole


def attacked(face: FaceMap, powders: tuple[Powder, ...], etch: Etch, part: slice = slice(None)) -> Float32:
    """Return how far each pixel has gone from bright (0) to fully etched (1); what is no steel goes beyond."""
    bright = float(luminance(etch.bright))
    range_ = max(bright - fully_etched(etch), 1e-6)
    off = (bright - float(luminance(etch.shell_lightness))) / range_, (bright - VOID_LUMINANCE) / range_
    return mixed(face, powders, lambda nickel: (bright - luminance(etch.lightness(nickel))) / range_, off, part)


def _steel(seen: Facets, table: StillTable, dark: Float32, etch: Etch, part: slice) -> Float32:
    """Return the luminance of the steel of rows ``part``: where it looks, read for bright and dark in one."""
    steel = np.take(table.steel, _cell(*seen.places(part, float(etch.depth(0.0)))))
    lit = steel.imag - steel.real
    lit *= dark
    lit += steel.real
    return lit


def _cell(right: Float32, up: Float32) -> NDArray[np.int32]:
    """Return the flat index of places in a still table; takes its arguments as room to work in."""
    for place in (right, up):
        np.clip(place, 0, CELLS - 1, out=place)
    index = up.astype(np.int32)
    index *= CELLS
    index += right.astype(np.int32)
    return index


def _within(places: Indices, part: slice, columns: int) -> slice:
    """Return which of some ascending pixels lie in rows ``part``."""
    first, last = np.searchsorted(places, (part.start * columns, part.stop * columns))
    return slice(int(first), int(last))


def _sharpen(lit: Float32, dark: Float32, strip: Strip, at: slice, table: StillTable, first: int) -> None:
    """Lay the sharpened edge over the steel: bare, whatever the etch had done."""
    place, share = strip.at[at] - first, strip.share[at]
    keen = table.keen[_cell(strip.along[at].copy(), strip.across[at].copy())]
    flat = lit.reshape(-1)
    flat[place] += share * (keen - flat[place])
    dark.reshape(-1)[place] *= 1 - share
