"""The blade seen from above its spine: how it tapers, and the pattern that goes through it."""

from __future__ import annotations

from math import ceil

import numpy as np

from preview.base.arrays import Array, Bytes, Float32
from preview.base.pictures import layers
from preview.blade.grind import SIDES
from preview.face.origins import Origins
from preview.look.backdrop import empty_ground
from preview.look.colours import BESIDE, key_of, steel_colours
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.light import Light
from preview.look.rims import EASED, STEEPEST
from preview.look.still import CELLS, EYE, cells_of, fully_etched, still_table
from preview.look.studio import finish_of
from preview.look.texture import dither, stone_marks
from preview.pattern.powders import Powder

RIM = 3.0
"""Ground left round the spine, mm."""


def spine_picture(
    origins: Origins, powders: tuple[Powder, ...], etch: Etch, light: Light, seed: int, px_per_mm: float
) -> Bytes:
    """Return the spine as seen from above, sRGB bytes ``(rows, columns, 3)``: tip right, the right face below.

    Light and finish are those of the faces, the spine lying square to the viewer.
    """
    ground = origins.ground
    outline = ground.blade.outline
    along = np.arange(-RIM, outline.length + RIM, 1 / px_per_mm)[None, :] + 0.5 / px_per_mm
    held = np.clip(along, 0, outline.length)
    spine = outline.spine(held)
    right, left = (ground.stand(side, held, spine) for side in SIDES)
    most = float(max(right.max(), left.max())) + RIM
    rows = 2 * ceil(most * px_per_mm)
    through = ((np.arange(rows) + 0.5 - rows / 2) / px_per_mm)[:, None]
    inside = np.minimum(np.minimum(right - through, left + through), np.minimum(along, outline.length - along))
    cover = np.clip(inside * px_per_mm + 0.5, 0, 1).astype(np.float32)

    level = np.clip(through, -left, right)
    x, y, z, metal = origins.of_points("right", held, spine, level)
    shares = origins.shares(*np.broadcast_arrays(x, y, z))
    dark = _dark(shares, origins.sampler.raster.classes, powders, etch)
    dark[np.broadcast_to(~metal, dark.shape)] = 1
    fine = np.linspace(0, outline.length, 1000)
    rise = np.interp(held[0], fine, np.gradient(outline.spine(fine), fine))
    lit = _lit(light, etch, seed, dark, (held, through), (rise, inside), px_per_mm)
    beneath = empty_ground((rows, cover.shape[1]), px_per_mm)
    lit = beneath + cover * (lit - beneath)
    dark[cover == 0] = BESIDE
    colours = steel_colours(max((powder.nickel for powder in powders), default=0.0), etch.tint)
    return layers(np.take(colours, key_of(lit, dark)))


def _dark(shares: Float32, classes: tuple[str, ...], powders: tuple[Powder, ...], etch: Etch) -> Float32:
    """Return how far steel of mixed classes has gone from bright (0) to fully etched (1)."""
    named = {powder.name: powder for powder in powders}
    bright = float(luminance(etch.bright))
    tones = [
        float(luminance(etch.lightness(named[each].nickel))) if each in named else VOID_LUMINANCE for each in classes
    ]
    gone = (bright - np.array(tones)) / max(bright - fully_etched(etch), 1e-6)
    return np.asarray(np.clip(np.tensordot(gone, shares, axes=1), 0, 1), dtype=np.float32)


def _lit(
    light: Light,
    etch: Etch,
    seed: int,
    dark: Float32,
    places: tuple[Array, Array],
    lean: tuple[Array, Array],
    px_per_mm: float,
) -> Float32:
    """Return what the spine's steel sends back; ``lean`` is how it rises along, and how far it is from its corners."""
    (along, through), (rise, inside) = places, lean
    finish = finish_of(light)
    table = still_table(light, etch, mirrored=False)
    marks = stone_marks(dark.shape[1], px_per_mm, seed)  # it is ground across
    right = -rise[None, :] + (along - along.mean()) / (2 * EYE) + finish.scratches * marks
    up = STEEPEST * np.clip(inside / EASED - 1, -1, 0) * np.sign(through)
    aside, above = (np.broadcast_to(each, dark.shape).astype(np.float32) for each in (right, up))
    right_noise, up_noise, _ = dither((dark.shape[0], dark.shape[1]), seed)
    cells = cells_of(aside, above, (CELLS / 2 + right_noise, CELLS / 2 + up_noise))
    return np.asarray(table.bright[cells] + table.more[cells] * dark, dtype=np.float32)
