"""What a blade lies on in its picture: a ground of stone with the blade's shadow, a plain handle, and a scale bar."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from preview.base.arrays import Array, Float32
from preview.base.settings import MM_PER_INCH
from preview.base.units import Units
from preview.face.view import RIM, View
from preview.look.handle import behind_light
from preview.look.texture import stone

GROUND = 0.175
"""Linear reflectance of the ground in the middle of the picture: between both steels as the eye has it."""

RELIEF, SPECKLE, CLOUDS = 0.04, 0.025, 0.04
"""Relative scatter of the ground's light by how its surface leans, from grain to grain, and over some centimetres
(chosen by eye)."""

SHADED = 0.3
"""How much darker the ground is where what stands beside the window shades it (chosen by eye)."""

SHADOWS = ((0.45, 0.7, 0.50), (2.4, 2.1, 0.38), (8.0, 4.4, 0.28))
"""The blade's shadow: softness, how far below the blade it falls (mm), depth of each of its parts (chosen by eye)."""

FINE = 64.0
"""Steps in a millimetre at which the rims of tang and handle are drawn, at most four in a pixel."""

SMALL = 700
"""Pixels across in which so soft a thing as a shadow is worked out, at most."""


def backdrop(view: View, scale_bar: Units | None, seed: int) -> tuple[Float32, Float32]:
    """Return the ground the blade lies on, as the viewer sees it, and the share of a handle; ``(rows, columns)``.

    The ground is linear light.
    """
    coverage = view.framed(view.grid.shown, 0)
    behind = [_cover(view, shape) for shape in (view.behind.tang, view.behind.handle) if shape.size]
    for shape in behind:
        np.maximum(coverage, shape, out=coverage)
    light = empty_ground(coverage.shape, view.px_per_mm, lower=view.side == "left")
    joined = _rising(len(light), RIM * view.px_per_mm)
    shade = 1 - unshaded(coverage, view.px_per_mm, SHADOWS)
    light *= 1 - shade * (joined if view.side == "left" else joined[::-1])
    wood = np.zeros_like(light)
    for shape in behind:
        lit, wood = behind_light(view, coverage.shape, seed)
        light += shape * (lit - light)
        wood = wood * shape
    if scale_bar is not None:
        _draw_scale(light, view.px_per_mm, scale_bar)
    return light.astype(np.float32), wood


def empty_ground(shape: tuple[int, int], px_per_mm: float, *, lower: bool = False) -> Float32:
    """Return an empty ground: light falls on it from the window's side, and towards the other it fades out.

    The ground of the ``lower`` of two pictures goes on where the other's ends.
    """
    from scipy.ndimage import gaussian_filter

    rows, columns = shape
    u = np.linspace(-1, 1, columns, dtype=np.float32)[None, :]
    v = np.linspace(0, 2, rows, dtype=np.float32)[:, None] - (0 if lower else 2)
    # a window stands to the upper left; what stands beside it lays a soft, large shadow slantwise over the right end
    shade = np.clip((u - np.float32(0.35) - np.float32(0.12) * v) / np.float32(0.9), 0, 1)
    shade *= shade * (3 - 2 * shade)
    light = np.float32(GROUND) * (0.97 - np.float32(0.05) * u - np.float32(0.18) * u * u - np.float32(0.01) * v)
    light *= 1 - np.float32(SHADED) * shade
    begin = rows if lower else 0
    light *= uneven(*(each[begin:] for each in stone((rows + begin, columns), px_per_mm)))
    size = 2 * max(2, rows // 40), max(2, columns // 40)
    cloud = gaussian_filter(np.random.default_rng(0).standard_normal(size), 14 * px_per_mm / 40, mode="reflect")
    cloud = (cloud / max(float(cloud.std()), 1e-6)).astype(np.float32)
    clouds = np.asarray(Image.fromarray(cloud).resize((columns, 2 * rows), Image.Resampling.BICUBIC))
    return np.asarray(light * (1 + np.float32(CLOUDS) * clouds[begin : begin + rows]), dtype=np.float32)


def _rising(rows: int, over: float) -> Float32:
    """Return 0 at the first row, 1 from ``over`` rows on: a shadow ends where another picture begins."""
    share = np.minimum(np.arange(rows) / over, 1)
    return np.asarray((share * share * (3 - 2 * share))[:, None], dtype=np.float32)


def uneven(rough: Float32, speckle: Float32) -> Float32:
    """Return the light of stone from place to place, about 1, by its surface as `stone` tells it."""
    return 1 + np.float32(RELIEF) * rough + np.float32(SPECKLE) * speckle


def unshaded(cover: Float32, px_per_mm: float, shadows: tuple[tuple[float, float, float], ...]) -> Float32:
    """Return what of the light reaches the ground beside what lies over it; shadows as `SHADOWS` tells them."""
    rows, columns = cover.shape
    small = min(1.0, SMALL / columns)
    size = (max(2, round(columns * small)), max(2, round(rows * small)))
    seen = Image.fromarray(np.uint8(cover * 255)).resize(size, Image.Resampling.BOX)
    per_mm, left = px_per_mm * small, np.ones(size[::-1], dtype=np.float32)
    for soft, below, depth in shadows:
        shadow = Image.new("L", size)
        shadow.paste(seen, (round(-0.25 * below * per_mm), round(below * per_mm)))
        blurred = shadow.filter(ImageFilter.GaussianBlur(soft * per_mm))
        left *= 1 - np.float32(depth / 255) * np.asarray(blurred, dtype=np.float32)
    return np.asarray(Image.fromarray(left).resize((columns, rows), Image.Resampling.BILINEAR))


def _cover(view: View, shape: Array) -> Float32:
    """Return the share of each pixel of the picture that a shape (polygon, ``(n, 2)``, blade frame, mm) covers."""
    rows, columns = (inside.stop + after for inside, (_, after) in zip(view.inside, view.rim, strict=True))
    steps = int(np.clip(round(FINE / view.px_per_mm), 1, 4))
    mask = Image.new("L", (columns * steps, rows * steps))
    ImageDraw.Draw(mask).polygon([tuple(point) for point in view.pixels(shape) * steps], fill=255)
    return np.asarray(mask.reduce(steps), dtype=np.float32) * np.float32(1 / 255)


def _draw_scale(light: Float32, px_per_mm: float, units: Units) -> None:
    """Draw a bar of 50 mm or 2 in (of 10 mm or half an inch on a short blade) into the lower left corner."""
    rows, columns = light.shape
    long = columns > 110 * px_per_mm
    if units.sizes == "inch":
        length, words = (2.0, "2 in") if long else (0.5, "1/2 in")
        length, tick = length * MM_PER_INCH, length * MM_PER_INCH / 4
    else:
        length, tick, words = (50.0, 10.0, "50 mm") if long else (10.0, 10.0, "10 mm")
    mark = Image.new("L", (columns, rows))
    draw = ImageDraw.Draw(mark)
    left, bottom = round(0.6 * RIM * px_per_mm), rows - round(1.6 * px_per_mm)
    thick = max(1, round(0.25 * px_per_mm))
    draw.rectangle((left, bottom - thick, left + round(length * px_per_mm), bottom), fill=255)
    for number in range(round(length / tick) + 1):
        x = left + round(number * tick * px_per_mm)
        draw.rectangle((x, bottom - round(1.2 * px_per_mm), x + thick - 1, bottom), fill=255)
    font = ImageFont.load_default(size=max(9, round(4 * px_per_mm)))
    draw.text((left + round((length + 1.5) * px_per_mm), bottom), words, fill=255, font=font, anchor="ls")
    light += (np.float32(0.8) - light) * np.asarray(mark, dtype=np.float32) / 255
