"""The ellipses of a face's motif, drawn on its picture."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Bytes
from preview.face.view import View
from preview.forge.bands import Ellipse

LINE = (255, 134, 56)
"""Colour of the lines."""

DIM, SLATE = 0.45, 78.0
"""How far a picture goes towards one even grey, so that thin lines stand out from it."""

SMOOTH = 2
"""Times larger than the picture that lines are drawn, so that they are smooth."""


def with_ellipses(picture: Bytes, view: View, ellipses: tuple[Ellipse, ...]) -> Bytes:
    """Return a face's picture, grey or RGB bytes, dimmed, with ``ellipses`` and their middles on it, RGB bytes."""
    rows, columns = picture.shape[:2]
    image = Image.fromarray((picture * (1 - DIM) + SLATE * DIM).astype(np.uint8)).convert("RGB")
    lines = Image.new("RGBA", (columns * SMOOTH, rows * SMOOTH), (*LINE, 0))
    draw = ImageDraw.Draw(lines)
    wide = max(3, SMOOTH * columns // 500)
    for ellipse in ellipses:
        points = (view.pixels(ellipse.outline) * SMOOTH).ravel().tolist()
        draw.line(points, fill=(*LINE, 255), width=wide, joint="curve")
        x, y = (view.pixels(np.array([[ellipse.along, ellipse.across]])) * SMOOTH)[0]
        draw.ellipse((x - wide, y - wide, x + wide, y + wide), fill=(*LINE, 255))
    lines = lines.resize((columns, rows), Image.Resampling.BOX)
    image.paste(lines, mask=lines.getchannel("A"))
    return np.asarray(image)
