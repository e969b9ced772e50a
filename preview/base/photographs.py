"""Photographs of things that lie flat, read at a size that can be worked on."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt
from pathlib import Path

import numpy as np
from PIL import Image

from preview.base.arrays import Bytes, Float32
from preview.base.errors import FileError
from preview.base.pictures import linear_luminance, picture_size, read_picture
from preview.base.units import Sentence

LARGEST_PHOTO = 12_000_000
"""Pixels of a photograph over which it is read at a half, a third and so on of its size."""

ALL_DARK = 0.02
"""Linear light that the brightest hundredth of a photograph reaches, or it is dark all over."""


@dataclass(frozen=True, eq=False)
class Photograph:
    """A photograph, upright, on white.

    Parameters
    ----------
    pixels
        RGB bytes ``(rows, columns, 3)``.
    light
        Its linear light ``(rows, columns)``, 0 to 1.
    notes
        How it was read.
    whole
        Columns and rows of the file, upright: ``pixels`` of a large one are fewer.
    """

    pixels: Bytes
    light: Float32
    notes: tuple[Sentence, ...]
    whole: tuple[int, int]


def read_photograph(path: Path) -> Photograph:
    """Read a photograph.

    Raises
    ------
    FileError
        If it cannot be read, or is dark all over.
    """
    rgba, notes = read_picture(path, about=LARGEST_PHOTO)
    smaller = ceil(sqrt(rgba.shape[0] * rgba.shape[1] / LARGEST_PHOTO))
    if smaller > 1:
        rgba = np.asarray(Image.fromarray(rgba).reduce(smaller))
    alpha = rgba[..., 3:]
    pixels = rgba[..., :3]
    if (alpha < 255).any():
        pixels = (pixels * (alpha / 255.0) + (255.0 - alpha)).astype(np.uint8)
    light = linear_luminance(pixels).astype(np.float32)
    if np.quantile(light[::4, ::4], 0.99) < ALL_DARK:
        msg = f"{path}: the photograph is dark all over; more light is needed"
        raise FileError(msg)
    return Photograph(pixels, light, notes, picture_size(path))
