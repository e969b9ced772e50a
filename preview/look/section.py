"""The cross-section at a station along the blade: the pattern in the bar, and the grind lines over it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.blade.grind import Side
from preview.blade.surface import face_stand
from preview.face.composition import Ground
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.light import srgb
from preview.pattern.pattern import VOID
from preview.pattern.powders import Powder

GROUND_SRGB = 0.84
FADE = 0.6
"""How far the metal that is ground away fades into the ground."""

LINE_COLOUR = (196, 62, 30)
SAMPLES = 2


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
    """

    rgb: Bytes
    across: Array
    right: Array
    left: Array


def cross_section(
    ground: Ground, powders: tuple[Powder, ...], classes: tuple[str, ...], etch: Etch, station: float, px_per_mm: float
) -> Section:
    """Return the section at ``station`` (mm from the heel), true to scale in both directions."""
    blade, bar = ground.blade, ground.pull_back.history.bar
    outline = blade.outline
    _, low, middle = blade.corner(bar)
    scale = px_per_mm * SAMPLES
    rim = 1.0
    across = np.arange(-bar.width / 2 - rim - low, bar.width / 2 + rim - low, 1 / scale)
    through = np.arange(bar.thickness / 2 + rim - middle, -bar.thickness / 2 - rim - middle, -1 / scale)
    along = np.array([[station]])
    x, y, z, metal = ground.pull_back(*blade.blade_to_bar(along, across[None, :], through[:, None], bar))
    shape = (through.size, across.size)

    column, row = (np.array(np.broadcast_to(each, shape)) for each in ground.in_picture(x, y, z))
    shares = tuple(np.zeros(shape, dtype=np.float32) for _ in classes[1:])
    ground.sampler.read(column, row, shares, 1.0)
    light = light_of(shares, classes, powders, etch)
    shell = ground.is_shell(x, y, z)
    if shell is not None:
        light = np.where(shell, luminance(etch.shell_lightness), light)
    shown = srgb(light)

    on_blade = (across >= outline.edge(along[0])) & (across <= outline.spine(along[0]))
    on_blade &= bool(0 <= station <= outline.length)
    faces = [_face(ground, side, station, across, on_blade) for side in ("right", "left")]
    inside = (through[:, None] <= faces[0]) & (through[:, None] >= -faces[1])
    shown = np.where(inside, shown, shown + (GROUND_SRGB - shown) * FADE)
    shown = np.where(metal, shown, GROUND_SRGB)
    rows, columns = (n // SAMPLES for n in shape)
    averaged = shown[: rows * SAMPLES, : columns * SAMPLES].reshape(rows, SAMPLES, columns, SAMPLES).mean(axis=(1, 3))
    picture = Image.fromarray(np.rint(averaged * 255).astype(np.uint8)).convert("RGB")
    draw = ImageDraw.Draw(picture)
    for face, sign in zip(faces, (1, -1), strict=True):
        points = [
            ((y_ - across[0]) * px_per_mm, (through[0] - sign * z_) * px_per_mm)
            for y_, z_ in zip(across[on_blade], face[on_blade], strict=True)
        ]
        if len(points) > 1:
            draw.line(points, fill=LINE_COLOUR, width=max(1, round(px_per_mm / 12)))
    return Section(np.asarray(picture), across[::SAMPLES][:columns], faces[0][::SAMPLES], -faces[1][::SAMPLES])


def light_of(shares: tuple[Float32, ...], classes: tuple[str, ...], powders: tuple[Powder, ...], etch: Etch) -> Array:
    """Return the linear light of mixed classes, of which ``shares`` (one shape) hold all but the first."""
    tones = [_tone(name, powders, etch) for name in classes]
    mixed = (share * (tone - tones[0]) for share, tone in zip(shares, tones[1:], strict=True))
    return np.asarray(sum(mixed, start=np.zeros_like(shares[0])) + tones[0])


def _tone(name: str, powders: tuple[Powder, ...], etch: Etch) -> float:
    """Return the linear light of a class in a section, where no lamp shines on it."""
    powder = next((each for each in powders if each.name == name and name != VOID), None)
    return VOID_LUMINANCE if powder is None else float(luminance(etch.lightness(powder.nickel)))


def _face(ground: Ground, side: Side, station: float, across: Array, on_blade: Mask) -> Array:
    """Return where one face stands at ``across``, mm outwards of the mid-plane; NaN off the blade."""
    outline = ground.blade.outline
    along = np.full(int(on_blade.sum()), station)
    distance = outline.edge_distance(along, across[on_blade])
    face = np.full(across.shape, np.nan)
    bar = ground.pull_back.history.bar
    face[on_blade] = face_stand(ground.blade, ground.grind, bar, side, along, across[on_blade], distance)
    return face
