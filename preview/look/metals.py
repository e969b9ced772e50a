"""The colour of bare metals and of what the etch leaves on them, in linear sRGB of luminance 1."""

from __future__ import annotations

from typing import Literal

import numpy as np

from preview.base.arrays import Array

WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
"""Relative luminance of linear sRGB (IEC 61966-2-1; Rec. ITU-R BT.709)."""

IRON = np.array([0.530, 0.513, 0.494])
NICKEL = np.array([0.697, 0.641, 0.563])
"""Reflectance at normal incidence, CIE 1931 2 degree observer, D65, from n and k of Johnson & Christy, Phys. Rev. B 9
(1974) 5056. Other tables spread by 5 to 8 per cent: Querry 1985 has iron 0.575 / 0.567 / 0.563, Rakic 1998 nickel
0.649 / 0.608 / 0.534. Steel with a few per cent of nickel has iron's colour."""

Tint = Literal["blue-black", "coffee", "none"]

OXIDES: dict[Tint, Array] = {
    "blue-black": np.array([0.97, 1.0, 1.08]),
    "coffee": np.array([1.24, 0.96, 0.76]),
    "none": np.array([1.0, 1.0, 1.0]),
}
"""Colour of the etched dark, before its lightness (chosen by eye)."""


def coloured(tint: Array) -> Array:
    """Return a colour in linear sRGB made as light as white: of relative luminance 1."""
    return np.asarray(tint / (tint @ WEIGHTS))


def metal_colour(nickel: float) -> Array:
    """Return the colour of bright steel with ``nickel`` (mass per cent), in linear sRGB of luminance 1."""
    return coloured(IRON + (NICKEL - IRON) * min(max(nickel, 0.0), 100.0) / 100)
