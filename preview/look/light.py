"""Light on the etched face: from slopes and reflectance to linear radiance, and from there to sRGB.

The viewer looks straight at the face, x to the right, y up. The dark zone is a matt oxide. The bright zone also
has the sheen of its finish: Ward's anisotropic lobe (G. J. Ward, SIGGRAPH 1992), scratches running along the
blade, so that it is wide across and narrow along.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from preview.base.arrays import Array, Bytes
from preview.base.settings import Angle, Control, Settings, Share

Vector = tuple[Array | float, Array | float, Array | float]

_LOBES = {"satin": (0.24, 0.36, 0.55), "polished": (0.16, 0.24, 0.9)}
"""Roughness along and across the blade, and strength, of each finish's sheen (chosen by eye)."""

OXIDE_SHEEN = 0.10
"""Sheen of the etched dark zone, as a share of the bright zone's (chosen by eye)."""

LIGHT_DISTANCE = 1.1
"""How far the light stands from the blade's middle, in lengths of the picture (chosen by eye)."""

LUT_SIZE = 4096


class Light(Settings):
    """Where the light stands, and the finish of the bright zone.

    ``azimuth`` is counted from the right-hand side of the picture up over its top, ``elevation`` up from the
    picture's plane towards the viewer, both in degrees. ``ambient`` is the share of the light that comes from
    all round. Starting values are chosen by eye.
    """

    azimuth: Annotated[
        Angle, Control("Light from", "°", "0 right, 90 above, 180 left.", least=-180.0, most=360.0, slider=True)
    ] = 105.0
    elevation: Annotated[
        Angle,
        Field(gt=0, le=90),
        Control(
            "Light's height", "°", "Low light shows the relief, high light the tones.",
            least=5.0, most=90.0, slider=True,
        ),
    ] = 40.0  # fmt: skip
    ambient: Share = 0.35
    finish: Annotated[
        Literal["satin", "polished"],
        Control("Finish of the bright steel", help="How the bright steel was rubbed after the etch."),
    ] = "satin"

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector to the light: right, up, towards the viewer."""
        azimuth, elevation = np.radians(self.azimuth), np.radians(self.elevation)
        flat = np.cos(elevation)
        return float(flat * np.cos(azimuth)), float(flat * np.sin(azimuth)), float(np.sin(elevation))


def lean(slope_x: Array, slope_y: Array, to_light: Vector) -> tuple[Array, Array]:
    """Return how a surface leans: its normal's length squared, and its part along the light (of the slopes' shape).

    The normal is ``(-slope_x, -slope_y, 1)``, not made a unit vector; where it looks away from the light its part is
    held at 0.001. Slopes and light are those of `ward_lobe`.
    """
    lx, ly, lz = to_light
    steep = slope_x * slope_x
    steep += slope_y * slope_y
    steep += 1
    towards = slope_x * -lx
    towards += slope_y * -ly
    towards += lz
    np.maximum(towards, 1e-3, out=towards)
    return steep, towards


def ward_lobe(
    slope_x: Array, slope_y: Array, steep: Array, towards: Array, to_light: Vector, rough: tuple[float, float]
) -> Array:
    """Return Ward's anisotropic lobe (1/sr) for a viewer straight above, before its strength.

    Parameters
    ----------
    slope_x, slope_y
        Slopes of the surface, d height / d x and d height / d y; arrays of one shape.
    steep, towards
        How it leans; see `lean`.
    to_light
        Unit vector to the light; its parts are numbers or broadcast against the slopes.
    rough
        Roughness along the tangents that point along x and along y.
    """
    lx, ly, lz = to_light
    to_half = 1 / np.sqrt(lx * lx + ly * ly + (lz + 1) * (lz + 1))
    hx, hy, hz = lx * to_half, ly * to_half, (lz + 1) * to_half
    tight_x, tight_y = (1 / (each * each) for each in rough)
    # squares of the half vector's parts along the normal and both tangents add up to 1, so two of them are enough
    along_x = slope_x * hz
    along_x += hx
    along_x *= along_x
    over_x = slope_x * slope_x
    over_x += 1
    along_x /= over_x
    along_x *= tight_x - tight_y
    along_x += tight_y
    normal = slope_x * -hx
    normal += slope_y * -hy
    normal += hz
    normal *= normal
    along_x *= steep
    along_x /= normal
    exponent = np.subtract(tight_y - float(np.log(4 * np.pi * rough[0] * rough[1])), along_x, out=along_x)
    lobe = np.exp(exponent, out=exponent)
    fall = steep / towards
    lobe *= np.sqrt(fall, out=fall)
    return np.asarray(lobe)


def shade(
    slope_x: Array, slope_y: Array, reflectance: Array, bright: Array, light: Light, beside: Array | float = 0.0
) -> Array:
    """Return linear radiance of the etched face; 1 is a white card square to the viewer.

    Parameters
    ----------
    slope_x, slope_y
        Slopes of the surface to the right and up, as the viewer sees it.
    reflectance
        Relative luminance of the etched steel.
    bright
        Share of the finish's sheen that shows: 1 in the bright zone, 0 in the dark.
    light
        Where the light stands.
    beside
        How far to the right of the picture's middle a point lies, in distances of the light; broadcastable.
    """
    right, up, out = light.direction
    sideways = right - np.asarray(beside, dtype=reflectance.dtype)
    nearer = 1 / np.sqrt(sideways * sideways + up * up + out * out)
    to_light = sideways * nearer, up * nearer, out * nearer
    steep, towards = lean(slope_x, slope_y, to_light)
    along, across, strength = _LOBES[light.finish]
    sheen = ward_lobe(slope_x, slope_y, steep, towards, to_light, (along, across))
    shown = bright * (strength * (1 - OXIDE_SHEEN))
    shown += strength * OXIDE_SHEEN
    sheen *= shown
    lit = np.divide(towards, np.sqrt(steep, out=steep), out=towards)
    lit *= (1 - light.ambient) / out
    lit += light.ambient
    lit *= reflectance
    lit += sheen
    return lit


def srgb(linear: Array) -> Array:
    """Return the sRGB value (0 to 1) of linear light, IEC 61966-2-1.

    Examples
    --------
    >>> round(float(srgb(np.array(0.18))), 7)
    0.4613561
    """
    linear = np.clip(linear, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


@lru_cache(maxsize=1)
def _grey_table() -> Bytes:
    """Return sRGB bytes of `LUT_SIZE` even steps of linear light."""
    return np.rint(255 * srgb(np.linspace(0, 1, LUT_SIZE))).astype(np.uint8)


def to_grey(linear: Array) -> Bytes:
    """Return linear light (0 to 1) as sRGB grey bytes."""
    steps = linear * linear.dtype.type(LUT_SIZE - 1)
    steps += linear.dtype.type(0.5)
    return np.take(_grey_table(), steps.astype(np.int32), mode="clip")
