"""Tones from a photo of an etched coupon: how bright the bright zone is, how dark the dark one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.errors import FileError, RequestError
from preview.base.pictures import linear_luminance, read_picture
from preview.base.units import Sentence, say
from preview.base.words import brief
from preview.look.etch import lightness_of, luminance

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, as shares of the picture's width and height."""

MOST_UNEVEN = 2.0
"""Largest over smallest light on the coupon that is still put right."""

LEAST_CONTRAST = 3.0
"""Least difference of the two zones, in standard deviations within a zone."""

LARGEST_SIDE = 800

FLAT = 1e-6
"""Span of the logarithm of light below which a picture is of one tone."""


@dataclass(frozen=True)
class Tones:
    """CIE lightness L* of both zones, their scatter (one standard deviation), and what was done to get them."""

    bright: float
    bright_error: float
    dark: float
    dark_error: float
    notes: tuple[Sentence, ...]


def parse_box(text: str) -> Box:
    """Return a region of four shares from 0 to 1, read from text such as ``"0.1, 0.2, 0.3, 0.4"``.

    Raises
    ------
    RequestError
        If the text holds no such region.
    """
    try:
        left, top, right, bottom = (float(part) for part in text.split(","))
    except ValueError:
        left = top = right = bottom = -1.0
    if not (0 <= left < right <= 1 and 0 <= top < bottom <= 1):
        msg = f"a region is four shares from 0 to 1: left, top, right, bottom; given {brief(text)}"
        raise RequestError.at("region", msg)
    return left, top, right, bottom


def read_coupon(
    path: Path,
    *,
    bright: Box | None = None,
    dark: Box | None = None,
    card: Box | None = None,
    card_lightness: float = 50.0,
) -> Tones:
    """Read the tones of a coupon's photo.

    Parameters
    ----------
    path
        The photo; it should show the coupon and little else.
    bright, dark
        Regions picked in either zone; left out, the picture is split in two by Otsu's threshold, once its uneven
        light has been put right by a smooth field fitted to both zones.
    card, card_lightness
        A grey card or white patch in the photo, and its L*; without it the camera's exposure is believed.

    Raises
    ------
    FileError
        If the photo cannot be read, its light is too uneven, or it does not show two tones.
    RequestError
        If a region is none.
    """
    pixels, notes = read_picture(path)
    stride = max(1, max(pixels.shape[:2]) // LARGEST_SIDE)
    light = np.maximum(linear_luminance(pixels), 1e-4)
    scale = 1.0
    if card is not None:
        scale = float(luminance(card_lightness)) / float(np.median(_cut(light, card)))
        notes += (say("Exposure set by the grey card, of lightness {} (black 0, white 100).", f"{card_lightness:g}"),)
    else:
        notes += (say("No grey card: the camera's exposure is believed."),)
    if bright is not None and dark is not None:
        zones = _cut(light, bright), _cut(light, dark)
    else:
        zones = _split(light[::stride, ::stride], path)
    tones = [lightness_of(np.minimum(zone * scale, 1.0)) for zone in zones]
    tones.sort(key=lambda zone: -float(np.mean(zone)))
    found = [(float(np.mean(zone)), float(np.std(zone))) for zone in tones]
    if found[0][0] - found[1][0] < LEAST_CONTRAST * max(found[0][1], found[1][1]):
        msg = f"{path}: the two zones differ too little from their own scatter to be told apart"
        raise FileError(msg)
    return Tones(*found[0], *found[1], notes=notes)


def _cut(light: Array, box: Box) -> Array:
    rows, columns = light.shape
    left, top, right, bottom = box
    if not (0 <= left < right <= 1 and 0 <= top < bottom <= 1):
        raise RequestError.at("region", f"left < right and top < bottom, from 0 to 1, are needed; given {box}")
    cut = light[
        int(top * rows) : max(int(bottom * rows), int(top * rows) + 1), int(left * columns) : int(right * columns) + 1
    ]
    return cut.ravel()


def _split(light: Array, path: Path) -> tuple[Array, Array]:
    """Return the two zones' luminance, the light made even over the picture."""
    rows, columns = light.shape
    u, v = np.meshgrid(np.linspace(-1, 1, columns), np.linspace(-1, 1, rows))
    field = np.stack([u, v, u * u - 1 / 3, u * v, v * v - 1 / 3], axis=-1).reshape(-1, 5)
    tone = np.log(light).ravel()
    shape = np.zeros(5)
    for _ in range(12):
        is_bright = _bright(tone - field @ shape, path)
        known = np.column_stack([is_bright, ~is_bright, field])
        shape = np.linalg.lstsq(known, tone, rcond=None)[0][2:]
    uneven = float(np.exp(np.ptp(field @ shape)))
    if uneven > MOST_UNEVEN:
        msg = (
            f"{path}: the light on the coupon varies {uneven:.1f} times over the picture; at most {MOST_UNEVEN:g} can "
            "be put right: photograph it in even light, or pick two regions close together"
        )
        raise FileError(msg)
    even = tone - field @ shape
    is_bright = _bright(even, path)
    return np.exp(even[is_bright]), np.exp(even[~is_bright])


def _bright(even: Array, path: Path) -> Mask:
    """Return which spots are of the bright zone."""
    is_bright = even > _threshold(even) if np.ptp(even) > FLAT else np.zeros(len(even), dtype=bool)
    if is_bright.all() or not is_bright.any():
        msg = f"{path}: only one tone is seen in it; a coupon with a bright and a dark zone is needed"
        raise FileError(msg)
    return is_bright


def _threshold(values: Array) -> float:
    """Return the middle between the two classes that Otsu's method makes: its own threshold clings to one of them."""
    from skimage.filters import threshold_otsu

    first = threshold_otsu(values)
    return float(np.median(values[values > first]) + np.median(values[values <= first])) / 2
