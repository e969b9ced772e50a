"""The ellipses of a face's motif, drawn on its picture."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Bytes
from preview.face.view import View
from preview.forge.bands import Ellipse

LINE, UNDER = (255, 122, 47), (0, 0, 0)
"""Colours of the line, and of a wider one under it that tells it from the bright steel."""

SMOOTH = 2
"""Times larger than the picture that lines are drawn, so that they are smooth."""


def with_ellipses(picture: Bytes, view: View, ellipses: tuple[Ellipse, ...]) -> Bytes:
    """Return a face's picture, grey or RGB bytes, with ``ellipses`` and their middles drawn on it, RGB bytes."""
    rows, columns = picture.shape[:2]
    image = Image.fromarray(picture).convert("RGB")
    lines = Image.new("RGBA", (columns * SMOOTH, rows * SMOOTH), (0, 0, 0, 0))
    draw = ImageDraw.Draw(lines)
    wide = max(3, SMOOTH * columns // 350)
    for colour, width in ((UNDER, wide + SMOOTH * max(2, columns // 700)), (LINE, wide)):
        for ellipse in ellipses:
            points = (view.pixels(ellipse.outline) * SMOOTH).ravel().tolist()
            draw.line(points, fill=(*colour, 255), width=width, joint="curve")
            x, y = (view.pixels(np.array([[ellipse.along, ellipse.across]])) * SMOOTH)[0]
            draw.ellipse((x - width, y - width, x + width, y + width), fill=(*colour, 255))
    lines = lines.resize((columns, rows), Image.Resampling.BOX)
    image.paste(lines, mask=lines.getchannel("A"))
    return np.asarray(image)
