"""The cross-section at a station along the blade: the pattern in the bar, and the grind lines over it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Array, Bytes, Mask
from preview.blade.grind import SIDES, Side
from preview.blade.ground import Ground
from preview.face.origins import Origins
from preview.forging.carbon import carbon_skin
from preview.look.caption import INK, PAPER, caption
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.light import srgb
from preview.pattern.pattern import VOID
from preview.pattern.powders import Powder

BACKDROP_SRGB = 0.84
GONE, FADE = (0.95, 0.80, 0.58), 0.6
"""Colour (sRGB) that metal which is ground away goes towards, and how far: no etched steel is sand-coloured."""

LINE_COLOUR = (196, 62, 30)
POOR_COLOUR, POOR_TINT = (30, 80, 220), 0.75
SKIN = 0.005
"""Depth (mm) that is too little to mark."""

SCALE = 10
"""Length of the scale under a section, mm."""

SAMPLES = 2
SMOOTH = 4
"""Pixels of a line, each way, to one that is shown."""


@dataclass(frozen=True, eq=False)
class Section:
    """A cross-section of the bar, the edge on the left, the right face up.

    Parameters
    ----------
    rgb
        The picture, ``(rows, columns, 3)`` bytes.
    across
        Position of each column, blade frame, mm.
    right, left
        Where the two ground faces stand at each column, through the blade, mm; NaN off the blade.
    poor
        Whether steel that is short of carbon, above and below the bar's middle, is marked in it.
    """

    rgb: Bytes
    across: Array
    right: Array
    left: Array
    poor: bool

    @property
    def key(self) -> str:
        """What its colours say."""
        return f"Red: the ground faces. Sand: ground away.{' Blue: short of carbon.' if self.poor else ''}"

    @property
    def explained(self) -> Bytes:
        """The picture with a millimetre scale and its key under it, RGB bytes."""
        columns = self.rgb.shape[1]
        per_mm = (columns - 1) / float(self.across[-1] - self.across[0])
        scale = Image.new("RGB", (columns, round(1.2 * per_mm)), (PAPER,) * 3)
        draw, left = ImageDraw.Draw(scale), round(0.7 * per_mm)
        for mm in range(SCALE + 1):
            x, tall = left + round(mm * per_mm), (1.0 if mm % 5 == 0 else 0.5) * per_mm
            draw.line((x, 0.1 * per_mm, x, 0.1 * per_mm + tall), fill=(INK,) * 3, width=max(1, round(per_mm / 12)))
        words = f"Scale: {SCALE} marks of 1 mm. Edge on the left, right face above. {self.key}"
        return np.concatenate([self.rgb, np.asarray(scale), caption(words, columns, round(0.7 * per_mm))])


def cross_section(
    origins: Origins, powders: tuple[Powder, ...], etch: Etch, station: float, px_per_mm: float
) -> Section:
    """Return the section at ``station`` (mm from the heel), true to scale in both directions."""
    ground = origins.ground
    blade, bar, outline = ground.blade, ground.bar, ground.blade.outline
    _, low, middle = blade.corner(bar)
    scale = px_per_mm * SAMPLES
    rim = 1.0
    across = np.arange(-bar.width / 2 - rim - low, bar.width / 2 + rim - low, 1 / scale)
    through = np.arange(bar.thickness / 2 + rim - middle, -bar.thickness / 2 - rim - middle, -1 / scale)
    along = np.array([[station]])
    in_bar = blade.blade_to_bar(along, across[None, :], through[:, None], bar)
    x, y, z, metal = origins.pull_back(*in_bar)
    shape = (through.size, across.size)
    steel = srgb(np.broadcast_to(light_from(origins, powders, etch, x, y, z), shape))

    on_blade = (across >= outline.edge(along[0])) & (across <= outline.spine(along[0]))
    on_blade &= bool(0 <= station <= outline.length)
    faces = [_face(ground, side, station, across, on_blade) for side in SIDES]
    inside = (through[:, None] <= faces[0]) & (through[:, None] >= -faces[1])
    rows, columns = (n // SAMPLES for n in shape)
    skin = carbon_skin(origins.history)
    if skin.by_fire:
        lost = bar.thickness_at(in_bar[0], in_bar[1]) / 2 - np.abs(in_bar[2]) < skin.left - SKIN
    else:
        lost = np.abs((x, y, z)[skin.axis]) > skin.reach
    poor = np.broadcast_to(lost & metal, shape)
    metal = np.broadcast_to(metal, shape)
    kept, gone = metal & inside, metal & ~inside
    light, faded, empty, marked = (
        _averaged(each, rows, columns)[..., None]
        for each in (steel * (kept + gone * (1 - FADE)), FADE * gone, 1.0 - metal, POOR_TINT * poor)
    )
    seen = light + faded * np.array(GONE) + empty * BACKDROP_SRGB
    toned = seen * 255 * (1 - marked) + np.array(POOR_COLOUR) * marked
    lines = Image.new("L", (columns * SMOOTH, rows * SMOOTH))  # drawn finer than they are shown, and averaged
    draw = ImageDraw.Draw(lines)
    for face, sign in zip(faces, (1, -1), strict=True):
        right, down = across[on_blade] - across[0], through[0] - sign * face[on_blade]
        if right.size > 1:
            points = np.stack([right, down], axis=-1) * (px_per_mm * SMOOTH)
            draw.line(points.ravel().tolist(), fill=255, width=max(SMOOTH, round(px_per_mm / 10 * SMOOTH)))
    held = np.asarray(lines.reduce(SMOOTH), dtype=float)[..., None] / 255
    rgb = np.rint(toned * (1 - held) + np.array(LINE_COLOUR) * held).astype(np.uint8)
    return Section(rgb, across[::SAMPLES][:columns], faces[0][::SAMPLES], -faces[1][::SAMPLES], bool(poor.any()))


def _averaged(fine: Array, rows: int, columns: int) -> Array:
    """Return the mean of each pixel's samples, ``fine``."""
    samples = (
        fine[down : rows * SAMPLES : SAMPLES, right : columns * SAMPLES : SAMPLES]
        for down in range(SAMPLES)
        for right in range(SAMPLES)
    )
    return np.asarray(sum(samples) / SAMPLES**2)


def light_from(origins: Origins, powders: tuple[Powder, ...], etch: Etch, x: Array, y: Array, z: Array) -> Array:
    """Return the linear light of a cut through can points (broadcastable, mm), where no lamp shines on it."""
    light = light_of(origins.shares(x, y, z), origins.sampler.raster.classes, powders, etch)
    shell = origins.is_shell(x, y, z)
    return light if shell is None else np.where(shell, luminance(etch.shell_lightness), light)


def light_of(shares: Array, classes: tuple[str, ...], powders: tuple[Powder, ...], etch: Etch) -> Array:
    """Return the linear light of mixed classes, whose ``shares`` are ``(classes, ...)``."""
    tones = np.array([_tone(name, powders, etch) for name in classes])
    return np.asarray(np.tensordot(tones, shares, axes=1))


def _tone(name: str, powders: tuple[Powder, ...], etch: Etch) -> float:
    """Return the linear light of a class in a section, where no lamp shines on it."""
    powder = next((each for each in powders if each.name == name and name != VOID), None)
    return VOID_LUMINANCE if powder is None else float(luminance(etch.lightness(powder.nickel)))


def _face(ground: Ground, side: Side, station: float, across: Array, on_blade: Mask) -> Array:
    """Return where one face stands at ``across``, mm outwards of the mid-plane; NaN off the blade."""
    face = np.full(across.shape, np.nan)
    face[on_blade] = ground.stand(side, np.full(int(on_blade.sum()), station), across[on_blade])
    return face
