"""A pattern, or a picture wanted on the blade, as it is laid over another picture on the screen."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image

from preview.base.arrays import Bytes
from preview.base.cache import kept
from preview.base.files import stamp_of
from preview.base.pictures import read_picture
from preview.base.shapes import FLAT
from preview.pattern.coverage import covered
from preview.pattern.drawn import Named, Painted, names_of, read_painted
from preview.pattern.powders import Powder

SCREEN_SIDE = 1000
"""Pixels of its longer side, at most."""


def screen_picture(path: Path, powders: tuple[Powder, ...], room: tuple[float, float]) -> tuple[bytes, float]:
    """Return a picture, or a drawing of shapes (SVG, DXF), as a PNG for the screen, and its width over its height.

    Kept until the file changes.

    Parameters
    ----------
    path
        The file.
    powders, room
        The powders, and the can as the dividers see it (mm), by which a drawing is read.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    return _screen_picture(path, stamp_of(path), names_of(powders), room)


@kept
def _screen_picture(
    path: Path,
    stamp: tuple[int, int],  # noqa: ARG001 - a changed file is new
    named: Named,
    room: tuple[float, float],
) -> tuple[bytes, float]:
    if path.suffix.lower() in FLAT:
        painted = read_painted(path, named, room)
        pixels, wide = _pixels(painted), painted.size[0] / painted.size[1]
    else:
        pixels, _ = read_picture(path)
        wide = pixels.shape[1] / pixels.shape[0]
    image = Image.fromarray(pixels)
    image.thumbnail((SCREEN_SIDE, SCREEN_SIDE))
    stream = io.BytesIO()
    image.save(stream, "PNG")
    return stream.getvalue(), wide


def _pixels(painted: Painted) -> Bytes:
    """Return a drawing in its own colours, RGB bytes, its longer side `SCREEN_SIDE` pixels."""
    (width, height), (left, _, _, top) = painted.size, painted.page
    per_mm = SCREEN_SIDE / max(width, height)
    rows, columns = max(1, round(height * per_mm)), max(1, round(width * per_mm))
    pixels = np.full((rows, columns, 3), painted.bare, dtype=np.float32)
    for area, colour in painted.areas:
        held = covered(area, (rows, columns), (width / columns, height / rows), (left, top))
        pixels += held[..., None] * (np.array(colour, dtype=np.float32) - painted.bare)
    return np.asarray(np.clip(np.rint(pixels), 0, 255).astype(np.uint8))
