"""The bar's section after each forging step, at one scale: the same slice of metal, followed through the work."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Array, Bytes
from preview.base.units import Units
from preview.face.origins import Origins
from preview.forging.bar import Bar
from preview.look.etch import Etch
from preview.look.light import srgb
from preview.look.section import light_from
from preview.pattern.powders import Powder

PX_PER_MM = 7.0
PAPER, INK = 242, 40
WIDTH = 1200
"""Width of the strip, in pixels."""


def filmstrip(origins: Origins, powders: tuple[Powder, ...], etch: Etch, units: Units) -> Bytes:
    """Return the sections of the can and of the bar after each step as one picture, grey bytes ``(rows, columns)``.

    The slice is the one that ends up at mid-length of the blade, half way up. Sections stand as the bar lies
    under the hammer, +across to the right, +through up; their sizes are told in ``units``.
    """
    history, ground = origins.history, origins.ground
    x, y, z = ground.blade.corner(ground.bar)
    outline = ground.blade.outline
    slice_of = np.array([x + outline.length / 2, y + outline.height / 2, z])
    frames = []
    for number, (frame, bar) in enumerate(zip(history.frames, history.bars, strict=True)):
        points = section_points(bar, float(history.between(slice_of, "bar", frame)[0]))
        can = history.between(points, frame, "can")
        metal = history.start.contains(*np.moveaxis(np.nan_to_num(can, nan=1e9), -1, 0))
        light = light_from(origins, powders, etch, *np.moveaxis(np.where(metal[..., None], can, 0.0), -1, 0))
        picture = np.rint(np.where(metal, srgb(light) * 255, PAPER)).astype(np.uint8)
        title = "In the can" if not number else f"{number} · {history.steps[number - 1].words(units)}"
        frames.append((title, units.length(bar.width, bar.thickness, form=".1f"), picture))
    return _strip(frames)


def section_points(bar: Bar, along: float) -> Array:
    """Return the points (rows, columns, 3), mm, of a picture of the bar's section at ``along``."""
    reach = 1.06  # a bulged bar is wider at mid-height than on the mean
    across = np.arange(-reach * bar.width / 2, reach * bar.width / 2, 1 / PX_PER_MM)[None, :]
    through = np.arange(bar.thickness / 2, -bar.thickness / 2, -1 / PX_PER_MM)[:, None]
    across, through = np.broadcast_arrays(across, through)
    return np.stack([np.full(across.shape, along), across, through], axis=-1)


def _strip(frames: list[tuple[str, str, Bytes]]) -> Bytes:
    """Lay titled pictures in rows, each row as high as its highest."""
    font = ImageFont.load_default(size=24)
    gap, text = 24, 66
    places: list[tuple[int, int]] = []
    x = y = high = 0
    boxes = []
    for title, size, picture in frames:
        wide = max(picture.shape[1], round(max(font.getlength(title), font.getlength(size)))) + gap
        if x and x + wide > WIDTH:
            x, y, high = 0, y + high + gap, 0
        places.append((x, y))
        boxes.append(wide)
        x += wide
        high = max(high, picture.shape[0] + text)
    sheet = Image.new("L", (WIDTH, y + high + gap), PAPER)
    draw = ImageDraw.Draw(sheet)
    for (title, size, picture), (left, top) in zip(frames, places, strict=True):
        draw.text((left + gap // 2, top + 8), title, fill=INK, font=font)
        draw.text((left + gap // 2, top + 38), size, fill=90, font=font)
        sheet.paste(Image.fromarray(picture), (left + gap // 2, top + text + 4))
    return np.asarray(sheet)
