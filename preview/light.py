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

_LOBES = {"satin": (0.16, 0.42, 0.16), "polished": (0.09, 0.16, 0.1)}
"""Roughness along and across the blade, and strength, of each finish's sheen (chosen by eye)."""

LUT_SIZE = 4096


class Light(Settings):
    """Where the light stands, and the finish of the bright zone.

    ``azimuth`` is counted from the right-hand side of the picture up over its top, ``elevation`` up from the
    picture's plane towards the viewer, both in degrees. ``ambient`` is the share of the light that comes from
    all round.
    """

    azimuth: Angle = 115.0
    elevation: Annotated[Angle, Field(gt=0, le=90)] = 52.0
    ambient: Share = 0.45
    finish: Literal["satin", "polished"] = "satin"

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector to the light: right, up, towards the viewer."""
        azimuth, elevation = np.radians(self.azimuth), np.radians(self.elevation)
        flat = np.cos(elevation)
        return float(flat * np.cos(azimuth)), float(flat * np.sin(azimuth)), float(np.sin(elevation))


def ward_lobe(slope_x: Array, slope_y: Array, to_light: tuple[float, float, float], rough: tuple[float, float]) -> Array:
    """Return Ward's anisotropic lobe (1/sr) for a viewer straight above, before its strength.

    Parameters
    ----------
    slope_x, slope_y
        Slopes of the surface, d height / d x and d height / d y; broadcastable.
    to_light
        Unit vector to the light.
    rough
        Roughness along the tangents that point along x and along y.
    """
    half = np.add(to_light, (0.0, 0.0, 1.0))
    half /= np.linalg.norm(half)
    hx, hy, hz = half.tolist()
    lx, ly, lz = to_light
    kind = np.result_type(slope_x, slope_y)
    over_x = 1 + slope_x * slope_x
    steep = over_x + slope_y * slope_y  # square of the normal's length (-slope_x, -slope_y, 1)
    along_normal = hz - slope_x * hx - slope_y * hy
    on_x = (hx + slope_x * hz) ** 2 * steep / over_x
    on_y = (over_x * hy + slope_y * (hz - slope_x * hx)) ** 2 / over_x
    ax, ay = rough
    fall = (on_x / kind.type(ax * ax) + on_y / kind.type(ay * ay)) / (along_normal * along_normal)
    incoming = np.maximum(lz - slope_x * lx - slope_y * ly, 1e-3)
    return np.asarray(np.exp(-fall) * np.sqrt(steep / incoming) / kind.type(4 * np.pi * ax * ay))


def shade(slope_x: Array, slope_y: Array, reflectance: Array, bright: Array, light: Light) -> Array:
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
    """
    lx, ly, lz = light.direction
    kind = reflectance.dtype.type
    direct = (1 - light.ambient) / lz
    facing = slope_x * kind(-lx * direct) + slope_y * kind(-ly * direct)
    facing += kind(lz * direct)
    facing /= np.sqrt(1 + slope_x * slope_x + slope_y * slope_y)
    np.maximum(facing, 0, out=facing)
    facing += kind(light.ambient)
    facing *= reflectance
    along, across, strength = _LOBES[light.finish]
    sheen = ward_lobe(slope_x, slope_y, light.direction, (along, across))
    sheen *= bright * kind(strength)
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
def _packed_grey() -> NDArray[np.uint32]:
    """Return sRGB bytes of `LUT_SIZE` steps of linear light, packed as red, green, blue and a spare."""
    grey = np.rint(255 * srgb(np.linspace(0, 1, LUT_SIZE))).astype(np.uint8)
    packed = np.stack([grey, grey, grey, np.full_like(grey, 255)], axis=-1)
    return np.ascontiguousarray(packed).view(np.uint32).reshape(-1)


def to_rgbx(linear: Array) -> NDArray[np.uint32]:
    """Return linear light (0 to 1) as packed sRGB pixels, one uint32 for red, green, blue and a spare byte."""
    steps = linear * linear.dtype.type(LUT_SIZE - 1)
    steps += linear.dtype.type(0.5)
    np.clip(steps, 0, LUT_SIZE - 1, out=steps)
    return np.take(_packed_grey(), steps.astype(np.int32))
