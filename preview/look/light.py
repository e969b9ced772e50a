"""Where the light stands, how the blade is held to it, the finish of its bright steel; and linear light as sRGB."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from preview.base.arrays import Array, Bytes
from preview.base.settings import Angle, Control, Count, Settings

BOX = (96.0, 64.0)
"""Where the studio's soft box stands as the tables have it: `Light.azimuth` and `Light.elevation`, degrees."""

COARSEST, FINEST = 60, 5000
"""Grits of abrasives that are offered."""

SHOULDER = 0.7
"""Linear light up to which a picture is true; what is brighter is held back softly, so that nothing burns out."""

LUT_SIZE = 4096


class Light(Settings):
    """Where the light stands, how the blade is held to it, and the finish of the bright zone.

    ``azimuth`` is counted from the right-hand side of the picture up over its top, ``elevation`` up from the picture's
    plane towards the viewer; ``tilt`` leans the spine towards the viewer, ``turn`` the tip; all in degrees. In an
    ``even`` studio the same light comes from all round, and each steel shows the lightness of its coupon. Starting
    values are chosen by eye.
    """

    earlier_keys: ClassVar[frozenset[str]] = frozenset({"ambient"})

    studio: Annotated[
        Literal["soft box", "even"],
        Control("Light", help="A large soft light over the blade; or the same light from all round, as on a coupon."),
    ] = "soft box"
    azimuth: Annotated[
        Angle, Control("Light from", "°", "0 right, 90 above, 180 left.", least=-90.0, most=270.0, slider=True)
    ] = BOX[0]
    elevation: Annotated[
        Angle,
        Field(gt=0, le=90),
        Control(
            "Light's height", "°", "Low light shows the relief, high light the tones.",
            least=5.0, most=90.0, slider=True,
        ),
    ] = BOX[1]  # fmt: skip
    tilt: Annotated[
        Angle,
        Field(ge=-45, le=45),
        Control("Spine towards you", "°", "How the blade is held: it flashes as it is tilted.", -20.0, 20.0, 0.5, True),
    ] = 0.0
    turn: Annotated[
        Angle,
        Field(ge=-45, le=45),
        Control("Tip towards you", "°", "How the blade is held.", -20.0, 20.0, 0.5, True),
    ] = 0.0
    finish: Annotated[
        Literal["satin", "hand-rubbed along", "hand-rubbed across", "polished"],
        Control("Finish of the bright steel", help="How the bright steel was rubbed after the etch."),
    ] = "satin"
    grit: Annotated[
        Count,
        Field(ge=COARSEST, le=FINEST),
        Control("Last grit", help="Of the last abrasive; a polish has none.", least=COARSEST, most=FINEST, step=20),
    ] = 400

    @property
    def to_studio(self) -> Array:
        """The rotation ``(3, 3)`` that carries directions of the picture (right, up, to the viewer) to the studio's."""
        beside = rotation("viewer", BOX[0])
        return np.asarray(
            beside @ rotation("up", self.elevation - BOX[1]) @ beside.T @ rotation("viewer", BOX[0] - self.azimuth)
        )

    def held(self, *, mirrored: bool) -> Array:
        """Return the rotation ``(3, 3)`` of the blade in the hand, in the frame of the picture.

        ``mirrored`` where the tip is on the left.
        """
        return np.asarray(rotation("right", self.tilt) @ rotation("up", self.turn if mirrored else -self.turn))


def rotation(axis: Literal["right", "up", "viewer"], degrees: float) -> Array:
    """Return the rotation ``(3, 3)`` about an axis of the picture: right, up, or towards the viewer."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    match axis:
        case "right":
            return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
        case "up":
            return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
        case "viewer":
            return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def srgb(linear: Array) -> Array:
    """Return the sRGB value (0 to 1) of linear light, IEC 61966-2-1.

    Examples
    --------
    >>> round(float(srgb(np.array(0.18))), 7)
    0.4613561
    """
    linear = np.clip(linear, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def held_back(linear: Array) -> Array:
    """Return linear light as a picture shows it: true up to `SHOULDER`, from there on softly towards 1."""
    room = 1 - SHOULDER
    over = np.maximum(np.asarray(linear) - SHOULDER, 0)
    return np.where(over > 0, SHOULDER + room * -np.expm1(-over / room), linear)


@lru_cache(maxsize=1)
def _grey_table() -> Bytes:
    """Return sRGB bytes of `LUT_SIZE` even steps of linear light."""
    return np.rint(255 * srgb(np.linspace(0, 1, LUT_SIZE))).astype(np.uint8)


def to_grey(linear: Array) -> Bytes:
    """Return linear light (0 to 1) as sRGB grey bytes."""
    steps = linear * linear.dtype.type(LUT_SIZE - 1)
    steps += linear.dtype.type(0.5)
    return np.take(_grey_table(), steps.astype(np.int32), mode="clip")
