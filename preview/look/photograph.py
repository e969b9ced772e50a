"""The picture of an etched face, as a camera straight above it would take it on a neutral backdrop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from preview.base.arrays import Array, Bytes, Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.base.settings import MM_PER_INCH
from preview.base.units import Units
from preview.face.face_map import FaceMap
from preview.face.view import RIM, View
from preview.look.etch import VOID_LUMINANCE, Etch, luminance
from preview.look.light import LIGHT_DISTANCE, Light, shade, to_grey
from preview.pattern.nickel import mottle_levels
from preview.pattern.powders import Powder

BACKDROP = 0.62
"""Linear reflectance of the neutral backdrop in the middle of the picture."""

BARE_STEEL, HANDLE = (0.36, 0.6), (0.16, 3.5)
"""The same of a tang that is neither ground nor etched, and of a handle: dull, so that the blade is looked at; and how
far the rounding of their rims reaches, mm."""

FINE = 64.0
"""Steps in a millimetre at which their rim is drawn, at most four in a pixel."""

GRAIN = 0.045
"""Relative scatter of the finish's fine lines (chosen by eye)."""


def etched(
    face: FaceMap, powders: tuple[Powder, ...], etch: Etch, part: slice = slice(None)
) -> tuple[Float32, Float32]:
    """Return reflectance (linear luminance) and resistance to the etch (0 to 1) of rows ``part`` of a face.

    A pixel that holds several powders shows each one's in its share.
    """
    named = {powder.name: powder for powder in powders}
    mottle = None if face.mottle is None else face.mottle[part].astype(np.intp)
    responses = [_responses(named.get(name), mottle, face.mottle_seen, etch) for name in face.classes]
    totals = []
    for kind in range(2):
        first = responses[0][kind]
        total = np.full(face.stand[part].shape, first) if np.ndim(first) == 0 else np.array(first)
        for share, response in zip(face.shares, responses[1:], strict=True):
            gain = response[kind] - first
            gain *= share[part]
            total += gain
        totals.append(total)
    tone, resistance = totals
    if face.shell is not None:
        shell = face.shell[part]
        tone[shell], resistance[shell] = luminance(etch.shell_lightness), 0.0
    if face.lost is not None:
        lost = face.lost[part]
        tone[lost], resistance[lost] = VOID_LUMINANCE, 0.0
    return tone, resistance


def _responses(
    powder: Powder | None, mottle: NDArray[np.intp] | None, seen: float, etch: Etch
) -> tuple[Float32 | np.float32, Float32 | np.float32]:
    """Return reflectance and resistance of one class's pixels: numbers, or arrays where it is mottled."""
    if powder is None:
        return np.float32(VOID_LUMINANCE), np.float32(0)
    mottled = mottle is not None and powder.mottle > 0
    nickel = powder.nickel * np.maximum(1 + powder.mottle * seen * mottle_levels(), 0) if mottled else powder.nickel
    tone = luminance(etch.lightness(nickel)).astype(np.float32)
    resistance = etch.resistance(nickel).astype(np.float32)
    if mottle is None or not mottled:
        return np.float32(tone), np.float32(resistance)
    return np.take(tone, mottle), np.take(resistance, mottle)


@kept
def _grain(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    """Return the finish's fine lines along the blade, about 1 on the mean: lines some 4 mm long, a pixel wide."""
    rng = np.random.default_rng(seed)
    rows, columns = shape
    length = max(2.0, 4 * px_per_mm)
    coarse = rng.standard_normal((rows, int(columns / length * 3) + 4)).astype(np.float32)
    lines = np.asarray(Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC))
    fine = rng.standard_normal((rows, columns), dtype=np.float32)
    return np.asarray(1 + GRAIN * (0.8 * lines + 0.4 * fine), dtype=np.float32)


def _cover(view: View, shape: Array) -> Float32:
    """Return the share of each pixel of the picture that a shape (polygon, ``(n, 2)``, blade frame, mm) covers."""
    rows, columns = (inside.stop + after for inside, (_, after) in zip(view.inside, view.rim, strict=True))
    steps = int(np.clip(round(FINE / view.px_per_mm), 1, 4))
    mask = Image.new("L", (columns * steps, rows * steps))
    ImageDraw.Draw(mask).polygon([tuple(point) for point in view.pixels(shape) * steps], fill=255)
    return np.asarray(mask.reduce(steps), dtype=np.float32) * np.float32(1 / 255)


def _rounding(shape: Float32, reach: float) -> Float32:
    """Return how a shape, its rim rounded over ``reach`` pixels, takes the studio's light: more above, less below."""
    from scipy.ndimage import gaussian_filter1d

    step = max(1, round(reach / 5))  # so soft a thing needs few pixels
    coarse = np.asarray(Image.fromarray(shape).reduce(step))
    rise = Image.fromarray(gaussian_filter1d(coarse, reach / step, axis=0, order=1) * np.float32(1.3 * reach / step))
    return 1 + np.asarray(rise.resize(shape.shape[::-1], Image.Resampling.BILINEAR), dtype=np.float32)


@kept
def _studio(view: View, scale_bar: Units | None) -> Float32:
    """Return the backdrop the blade lies on, as the viewer sees it: linear light with a soft shadow and a scale bar."""
    coverage = view.framed(view.grid.coverage, 0)
    kinds = (view.behind.tang, BARE_STEEL), (view.behind.handle, HANDLE)
    behind = [(_cover(view, shape), *kind) for shape, kind in kinds if shape.size]
    for shape, *_ in behind:
        np.maximum(coverage, shape, out=coverage)
    rows, columns = coverage.shape
    small = min(1.0, 500 / columns)
    size = (max(2, round(columns * small)), max(2, round(rows * small)))
    seen = Image.fromarray(np.uint8(coverage * 255)).resize(size, Image.Resampling.BOX)
    reach = 3.0 * view.px_per_mm * small
    shadow = Image.new("L", size)
    shadow.paste(seen, (round(-0.5 * reach), round(0.7 * reach)))
    blurred = shadow.filter(ImageFilter.GaussianBlur(reach)).resize((columns, rows), Image.Resampling.BILINEAR)
    u = np.linspace(-1, 1, columns, dtype=np.float32)[None, :]
    v = np.linspace(-1, 1, rows, dtype=np.float32)[:, None]
    light = np.float32(BACKDROP) * (1 - np.float32(0.16) * (u * u + v * v) / 2 - np.float32(0.05) * v)
    light = light * (1 - np.float32(0.5 / 255) * np.asarray(blurred, dtype=np.float32))
    for shape, tone, round_rim in behind:
        light += shape * (tone * _rounding(shape, round_rim * view.px_per_mm) - light)
    if scale_bar is not None:
        _draw_scale(light, view.px_per_mm, scale_bar)
    return np.asarray(light, dtype=np.float32)


@kept
def _empty_studio(view: View, scale_bar: Units | None) -> Bytes:
    """Return the backdrop as sRGB grey bytes."""
    return to_grey(_studio(view, scale_bar))


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
    light *= 1 - 0.85 * np.asarray(mark, dtype=np.float32) / 255


def photograph(
    face: FaceMap, powders: tuple[Powder, ...], etch: Etch, light: Light, seed: int, *, scale_bar: Units | None
) -> Bytes:
    """Return one face as sRGB grey bytes, as the viewer sees it, on its backdrop."""
    view, grid = face.view, face.grid
    rows, columns = grid.shape
    inside = view.inside
    backdrop = view.seen(_studio(view, scale_bar)[inside])
    grain = _grain(grid.shape, grid.px_per_mm, seed)
    whole = _empty_studio(view, scale_bar).copy()
    picture = view.seen(whole[inside])
    beside = np.linspace(-0.5, 0.5, columns, dtype=np.float32)[None, :] / np.float32(LIGHT_DISTANCE)
    if view.mirrored:
        beside = -beside
    step = 1 / grid.px_per_mm

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        inner = slice(part.start - wide.start, part.start - wide.start + part.stop - part.start)
        tone, resistance = etched(face, powders, etch, wide)
        height = resistance * np.float32(etch.depth(0.0))  # what resists stands proud by the depth etched round it
        height += face.stand[wide]
        slope_y, slope_x = np.gradient(height, np.float32(-step), np.float32(-step if view.mirrored else step))
        steel = shade(slope_x[inner], slope_y[inner], tone[inner], resistance[inner], light, beside)
        steel *= grain[part]
        steel -= backdrop[part]
        steel *= grid.coverage[part]
        steel += backdrop[part]
        picture[part] = to_grey(steel)

    in_row_blocks(work, rows, columns)
    return whole
