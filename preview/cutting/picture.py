"""The bar's flat face with the blade at each of its best places, and what of the motif is left out there."""

from __future__ import annotations

import numpy as np
import shapely
from PIL import Image, ImageDraw, ImageFont
from shapely.ops import substring

from preview.base.arrays import Array, Bytes
from preview.cutting.places import Places
from preview.cutting.search import Place
from preview.cutting.words import place_head
from preview.pipeline import take_picture

Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

COLOURS = ((0, 114, 178), (213, 94, 0), (0, 158, 115))
"""Of the places, the best first: told apart without red and green (Okabe and Ito's set, quoted from memory)."""
NOW, PAPER, INK = (240, 200, 40), 236, 40
GREY, HIDDEN = 110, 0.8
"""What a part that is left out is greyed with, and how much of it that hides."""
DASH = 2.0
"""Length (mm) of a dash, and of the gap after it, of the outline as it lies now, which lies on top of the other."""
WIDE = 0.4
"""Width of an outline, mm."""


def places_picture(found: Places) -> Bytes:
    """Return the bar's flat face once for each place, its number and what comes out whole above it, RGB bytes.

    Parts are numbered as in the table, and grey where they are left out.
    """
    etched = take_picture(found.parts.flat, found.parts.face)
    text = max(12, etched.shape[1] // 90)
    strip = 2 * text
    high, wide = etched.shape[0] + strip, etched.shape[1]
    sheet = Image.new("RGB", (wide, len(found.best) * high + strip), (PAPER,) * 3)
    draw, font = ImageDraw.Draw(sheet), ImageFont.load_default(size=text)
    for number, (place, colour) in enumerate(zip(found.best, COLOURS, strict=False)):
        top = number * high
        sheet.paste(_panel(found, place, colour, etched, font), (0, top + strip))
        _key(draw, (text, top + text // 2), colour, place_head(found, number), font)
    _key(draw, (text, len(found.best) * high + text // 2), NOW, "the blade as it lies now", font, dashed=True)
    return np.asarray(sheet)


def _panel(found: Places, place: Place, colour: tuple[int, int, int], etched: Bytes, font: Font) -> Image.Image:
    """Return the bar's face with the blade at one place, and as it lies now."""
    view, bar = found.parts.face.view, found.parts.flat.history.bar
    half, scale = np.array(bar.size[:2]) / 2, view.px_per_mm
    pixels = etched.astype(np.float32)
    held = pixels[view.inside]
    for part, out in zip(found.parts.wanted, place.left_out, strict=True):
        if out:
            held[view.seen(part.shown)] += HIDDEN * (GREY - held[view.seen(part.shown)])
    picture = Image.fromarray(np.uint8(np.rint(pixels)))
    draw = ImageDraw.Draw(picture)
    for shown, its, dashed in ((place, colour, False), (found.now, NOW, True)):
        blade = shown.job.blade
        along, across = blade.outline.profile.T
        points = view.pixels(np.stack(blade.in_plan(along, across, bar), axis=1) + half)
        for each in _strokes(points, DASH * scale if dashed else 0.0):
            draw.line([(x, y) for x, y in each.coords], fill=its, width=max(1, round(WIDE * scale)))
    for part, out in zip(found.parts.wanted, place.left_out, strict=True):
        ((x, y),) = view.pixels((part.in_bar.mean(axis=1) + half)[None, :]).tolist()
        ink = (GREY // 2,) * 3 if out else (INK // 2,) * 3
        draw.text((x, y), part.name, anchor="mm", fill=ink, stroke_fill=(255,) * 3, stroke_width=3, font=font)
    return picture


def _strokes(points: Array, dash: float) -> list[shapely.LineString]:
    """Return a closed line through ``points`` (n, 2), in dashes so long where that is not 0, pixels."""
    ring = shapely.LinearRing(points)
    if not dash:
        return [ring]
    return [substring(ring, start, start + dash) for start in np.arange(0, ring.length, 2 * dash)]


def _key(
    draw: ImageDraw.ImageDraw, at: tuple[int, int], colour: tuple[int, int, int], words: str,
    font: Font, *, dashed: bool = False,
) -> None:  # fmt: skip
    """Write what a line is, after a stroke of it."""
    (x, y), text = at, font.getbbox("0")[3]
    for start, end in [(0, 0.8), (1.2, 2)] if dashed else [(0, 2)]:
        level = y + text / 2
        draw.line((x + start * text, level, x + end * text, level), fill=colour, width=max(3, round(text / 4)))
    draw.text((x + 2.6 * text, y), words, fill=(INK,) * 3, font=font)
