"""The bar's flat face with the blade at its best places."""

from __future__ import annotations

import numpy as np
import shapely
from PIL import Image, ImageDraw, ImageFont
from shapely.ops import substring

from preview.base.arrays import Bytes
from preview.cutting.places import Places
from preview.cutting.search import Place
from preview.pipeline import take_picture

COLOURS = ((0, 114, 178), (213, 94, 0), (0, 158, 115))
"""Of the places, the best first: told apart without red and green (Okabe and Ito's set, quoted from memory)."""
NOW, PAPER, INK = (240, 200, 40), 236, 40
DASH = 2.0
"""Length (mm) of a dash, and of the gap after it, of the outline as it lies now, which lies on top of the others."""


def places_picture(found: Places) -> Bytes:
    """Return the bar's flat face with its parts numbered and the blade's outline at each place, RGB bytes."""
    face, flat = found.parts.face, found.parts.flat
    view, half = face.view, np.array(flat.history.bar.size[:2]) / 2
    picture = Image.fromarray(take_picture(flat, face))
    text = max(12, picture.width // 90)
    font, scale = ImageFont.load_default(size=text), view.px_per_mm
    sheet = Image.new("RGB", (picture.width, picture.height + 2 * text), (PAPER,) * 3)
    sheet.paste(picture)
    draw = ImageDraw.Draw(sheet)

    def outline(place: Place, colour: tuple[int, int, int], wide: float, *, dashed: bool = False) -> None:
        blade = place.job.blade
        along, across = blade.outline.profile.T
        points = view.pixels(np.stack(blade.in_plan(along, across, flat.history.bar), axis=1) + half)
        ring = shapely.LinearRing(points)
        stretches = [ring]
        if dashed:
            starts = np.arange(0, ring.length, 2 * DASH * scale)
            stretches = [substring(ring, start, start + DASH * scale) for start in starts]
        for each in stretches:
            draw.line([(x, y) for x, y in each.coords], fill=colour, width=max(1, round(wide * scale)))

    for place, colour in list(zip(found.best, COLOURS, strict=False))[::-1]:
        outline(place, colour, 0.35)
    outline(found.now, NOW, 0.35, dashed=True)
    for part in found.parts.wanted:
        ((x, y),) = view.pixels((part.in_bar.mean(axis=1) + half)[None, :]).tolist()
        draw.text((x, y), part.name, anchor="mm", fill=(INK,) * 3, stroke_fill=(255,) * 3, stroke_width=3, font=font)
    x, y = text, picture.height + text // 3
    named = [("as it lies now", NOW), *zip(("1, the best", "2", "3"), COLOURS[: len(found.best)], strict=False)]
    for name, colour in named:
        for start, end in [(0, 0.8), (1.2, 2)] if colour == NOW else [(0, 2)]:
            draw.line(
                (x + start * text, y + text // 2, x + end * text, y + text // 2), fill=colour, width=max(3, text // 4)
            )
        draw.text((x + 2.4 * text, y), name, fill=(INK,) * 3, font=font)
        x += round(4 * text + draw.textlength(name, font=font))
    return np.asarray(sheet)
