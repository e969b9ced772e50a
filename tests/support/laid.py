"""Patterns drawn in millimetres."""

from __future__ import annotations

from PIL import Image, ImageDraw

from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN
from preview.pattern.raster import read_raster

ROOM = (60.0, 40.0)
PX = 20


def raster(tmp_path, draw, room=ROOM):
    sheet = Image.new("L", (round(room[0] * PX), round(room[1] * PX)))
    draw(ImageDraw.Draw(sheet))
    sheet.save(tmp_path / "p.png")
    return read_raster(tmp_path / "p.png", Pattern(picture="p.png"), (PLAIN, NICKEL), room)


def box(x0, y0, x1, y1):
    """Return pixels of a box given in mm from the can's middle, y up."""
    left, right = (round((x + ROOM[0] / 2) * PX) for x in (x0, x1))
    top, low = (round((ROOM[1] / 2 - y) * PX) for y in (y1, y0))
    return (left, top, right - 1, low - 1)
