"""Spots of a picture with their numbers."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.pictures import jpeg_bytes

MARK, RIM = (255, 122, 47), (0, 0, 0)


def numbered(
    picture: bytes,
    places: Sequence[tuple[float, float]],
    part: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0),
) -> bytes:
    """Return a picture with a ring round each of ``places`` and its number beside it, counted from 1, as a JPEG.

    Of the picture a ``part`` (left, top, right, foot) is returned; places are shares of that part's sides, rightwards
    and downwards, and the part those of the picture's.
    """
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    left, top, right, foot = (round(share * side) for share, side in zip(part, 2 * image.size, strict=True))
    image = image.crop((left, top, right, foot))
    draw = ImageDraw.Draw(image)
    reach = max(7, image.width // 80)
    font = ImageFont.load_default(size=2 * reach)
    for number, (beside, down) in enumerate(places, start=1):
        x, y = beside * image.width, down * image.height
        for colour, wide in ((RIM, 4), (MARK, 2)):
            draw.ellipse((x - reach, y - reach, x + reach, y + reach), outline=colour, width=wide)
        draw.line((x - 3, y, x + 3, y), fill=MARK)
        draw.line((x, y - 3, x, y + 3), fill=MARK)
        draw.text(
            (x + 1.3 * reach, y - 2.6 * reach), str(number), fill=MARK, font=font, stroke_width=2, stroke_fill=RIM
        )
    return jpeg_bytes(np.asarray(image))
