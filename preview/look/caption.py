"""Words on a strip, to be set under a picture."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes

PAPER, INK = 235, 30
"""Tones of the strip and of the words on it."""


def caption(words: str, wide: int, size: int) -> Bytes:
    """Return ``words`` in type ``size`` pixels high on a strip ``wide`` pixels wide, in as many lines as it takes."""
    font = ImageFont.load_default(size=size)
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if not lines[-1] or font.getlength(longer) <= wide - 2 * size:
            lines[-1] = longer
        else:
            lines.append(word)
    strip = Image.new("RGB", (wide, round((1.4 * len(lines) + 1) * size)), (PAPER,) * 3)
    draw = ImageDraw.Draw(strip)
    for number, line in enumerate(lines):
        draw.text((size, round((1.4 * number + 0.5) * size)), line, fill=(INK,) * 3, font=font)
    return np.asarray(strip)
