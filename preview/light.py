"""Light on the etched face: from slopes and reflectance to linear radiance, and from there to sRGB.

The viewer looks straight at the face, x to the right, y up. The dark zone is a matt oxide. The bright zone also
has the sheen of its finish: Ward's anisotropic lobe (G. J. Ward, SIGGRAPH 1992), scratches running along the
blade, so that it is wide across and narrow along.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Any, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from preview.checks import Angle, Settings, Share

Array = NDArray[np.floating[Any]]
Vector = tuple[Array | float, Array | float, Array | float]

_LOBES = {"satin": (0.24, 0.36, 0.55), "polished": (0.16, 0.24, 0.9)}
"""Roughness along and across the blade, and strength, of each finish's sheen (chosen by eye)."""

OXIDE_SHEEN = 0.10
"""Sheen of the etched dark zone, as a share of the bright zone's (chosen by eye)."""

LIGHT_DISTANCE = 1.1
"""How far the light stands from the blade's middle, in lengths of the picture."""

LUT_SIZE = 4096


class Light(Settings):
    """Where the light stands, and the finish of the bright zone.

    ``azimuth`` is counted from the right-hand side of the picture up over its top, ``elevation`` up from the
    picture's plane towards the viewer, both in degrees. ``ambient`` is the share of the light that comes from
    all round.
    """

    azimuth: Angle = 105.0
    elevation: Annotated[Angle, Field(gt=0, le=90)] = 40.0
    ambient: Share = 0.35
    finish: Literal["satin", "polished"] = "satin"

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector to the light: right, up, towards the viewer."""
        azimuth, elevation = np.radians(self.azimuth), np.radians(self.elevation)
        flat = np.cos(elevation)
        return float(flat * np.cos(azimuth)), float(flat * np.sin(azimuth)), float(np.sin(elevation))


def ward_lobe(slope_x: Array, slope_y: Array, to_light: Vector, rough: tuple[float, float]) -> Array:
    """Return Ward's anisotropic lobe (1/sr) for a viewer straight above, before its strength.

    Parameters
    ----------
    slope_x, slope_y
        Slopes of the surface, d height / d x and d height / d y; arrays of one shape.
    to_light
        Unit vector to the light; its parts are numbers or broadcast against the slopes.
    rough
        Roughness along the tangents that point along x and along y.
    """
    lx, ly, lz = to_light
    to_half = 1 / np.sqrt(lx * lx + ly * ly + (lz + 1) * (lz + 1))
    hx, hy, hz = lx * to_half, ly * to_half, (lz + 1) * to_half
    ax, ay = rough
    # with the normal (-slope_x, -slope_y, 1) / sqrt(steep) and tangents along x and along y of the surface
    over_x = slope_x * slope_x
    over_x += 1
    steep = slope_y * slope_y
    steep += over_x
    on_x = slope_x * (hz / ax)
    on_x += hx / ax
    on_x *= on_x
    on_x *= steep
    on_y = slope_x * -hx
    on_y += hz
    normal = slope_y * -hy
    normal += on_y  # the half vector's part along the normal, times sqrt(steep)
    normal *= normal
    normal *= over_x
    on_y *= slope_y
    over_x *= hy
    on_y += over_x
    on_y /= ay
    on_y *= on_y
    on_x += on_y
    on_x /= normal
    np.negative(on_x, out=on_x)
    lobe = np.exp(on_x, out=on_x)
    incoming = slope_x * -lx
    incoming += slope_y * -ly
    incoming += lz
    np.maximum(incoming, 1e-3, out=incoming)
    steep /= incoming
    lobe *= np.sqrt(steep, out=steep)
    lobe /= 4 * np.pi * ax * ay
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
    lx, ly, lz = sideways * nearer, up * nearer, out * nearer
    direct = (1 - light.ambient) / out
    facing = slope_x * (-lx * direct)
    facing += slope_y * (-ly * direct)
    facing += lz * direct
    steep = slope_x * slope_x
    steep += slope_y * slope_y
    steep += 1
    facing /= np.sqrt(steep, out=steep)
    np.maximum(facing, 0, out=facing)
    facing += light.ambient
    facing *= reflectance
    along, across, strength = _LOBES[light.finish]
    sheen = ward_lobe(slope_x, slope_y, (lx, ly, lz), (along, across))
    sheen *= bright * (1 - OXIDE_SHEEN) + OXIDE_SHEEN
    sheen *= strength
    facing += sheen
    return facing


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
def _grey_table() -> NDArray[np.uint8]:
    """Return sRGB bytes of `LUT_SIZE` even steps of linear light."""
    return np.rint(255 * srgb(np.linspace(0, 1, LUT_SIZE))).astype(np.uint8)


def to_grey(linear: Array) -> NDArray[np.uint8]:
    """Return linear light (0 to 1) as sRGB grey bytes."""
    steps = linear * linear.dtype.type(LUT_SIZE - 1)
    steps += linear.dtype.type(0.5)
    np.clip(steps, 0, LUT_SIZE - 1, out=steps)
    return np.asarray(np.take(_grey_table(), steps.astype(np.int32)))
