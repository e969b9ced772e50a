"""The etch: the more nickel, the slower steel dissolves; plain steel darkens and sinks, nickel steel stays bright."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field

from preview.base.arrays import Array
from preview.base.settings import Control, Lightness, Minutes, NonNegativeLength, Number, Settings
from preview.look.metals import Tint

SHELL_LIGHTNESS_SHARE = 0.2
"""Mild steel of the can etches to a grey a fifth of the way up from dark (common practice, no published source)."""

VOID_LUMINANCE = 0.004
"""Relative luminance of a hole in the face (chosen by eye)."""


class Etch(Settings):
    """Time in the etchant, and how this shop's etchant answers; all of it to be calibrated on a coupon.

    Parameters
    ----------
    minutes
        Time in the etchant, all dips together.
    time_constant
        Minutes after which 63 per cent of the final dark and depth are reached. Its default puts the end of it within
        the usual 5 to 15 minutes (common practice, no published source).
    relief
        Depth to which plain steel sinks in the end, mm.
    half_point
        Mass per cent of nickel that halves the attack; its default leaves steel of 4 per cent bright, as practice has
        it (no published source).
    bright, dark
        CIE lightness L* of steel that the etch does not touch and of plain steel fully etched. Defaults are
        a satin nickel steel and a dark oxide (from memory; depth 0.01 to 0.05 mm likewise).
    dark_finish
        CIE lightness L* that a later dark finish, such as strong coffee, brings the dark down to, if lower
        (common practice, no published source).
    tint
        Colour of the dark: the etch's blue-black, coffee's brown-black, or none; its lightness stays what it is.
    """

    minutes: Annotated[
        Minutes,
        Control(
            "Minutes in the etch", help="Longer etches stand the pattern out more.",
            least=0.0, most=60.0, step=0.5, slider=True,
        ),
    ] = 12.0  # fmt: skip
    time_constant: Annotated[Minutes, Field(gt=0)] = 4.0
    relief: Annotated[NonNegativeLength, Field(le=0.5)] = 0.02
    half_point: Annotated[Number, Field(gt=0, le=20)] = 1.0
    bright: Annotated[
        Lightness,
        Control(
            "Bright steel",
            "0 to 100",
            "Its lightness, read off your coupon: black is 0, white 100.",
            least=30.0,
            most=100.0,
            slider=True,
        ),
    ] = 78.0
    dark: Annotated[
        Lightness,
        Control(
            "Dark steel",
            "0 to 100",
            "Its lightness, read off your coupon: black is 0, white 100.",
            least=0.0,
            most=70.0,
            slider=True,
        ),
    ] = 24.0
    dark_finish: Annotated[
        Lightness | None,
        Control(
            "Dark after finish", "0 to 100", "Lightness of the dark steel after coffee or another finish.",
            step=1.0, offer="Coffee or another dark finish", start=14.0,
        ),
    ] = None  # fmt: skip

    tint: Annotated[
        Tint, Control("Colour of the dark steel", help="What the etch or the finish after it leaves on the steel.")
    ] = "blue-black"

    @property
    def progress(self) -> float:
        """Share of the final dark and depth that is reached."""
        return float(1 - np.exp(-self.minutes / self.time_constant))

    def resistance(self, nickel: Array | float) -> Array:
        """Return the share of the attack that ``nickel`` (mass per cent) holds off: 1/2 at the half point."""
        return np.asarray(-np.expm1(-np.log(2) * np.maximum(nickel, 0.0) / self.half_point))

    def lightness(self, nickel: Array | float) -> Array:
        """Return CIE lightness L* of steel with ``nickel`` (mass per cent)."""
        attacked = (1 - self.resistance(nickel)) * self.progress
        dark = self.dark if self.dark_finish is None else min(self.dark, self.dark_finish)
        return np.asarray(self.bright - (self.bright - dark) * attacked)

    def depth(self, nickel: Array | float) -> Array:
        """Return the depth (mm) to which steel with ``nickel`` (mass per cent) is dissolved."""
        return np.asarray(self.relief * self.progress * (1 - self.resistance(nickel)))

    @property
    def shell_lightness(self) -> float:
        """CIE lightness L* of the can's mild steel."""
        dark = float(self.lightness(0.0))
        return dark + SHELL_LIGHTNESS_SHARE * (self.bright - dark)


def luminance(lightness: Array | float) -> Array:
    """Return relative luminance Y (0 to 1) of CIE lightness L* (CIE 15:2018, section 8.2.1).

    Examples
    --------
    >>> round(float(luminance(49.496)), 3)
    0.18
    """
    lightness = np.asarray(lightness, dtype=float)
    return np.where(lightness > 8, ((lightness + 16) / 116) ** 3, lightness * (3 / 29) ** 3)


def lightness_of(luminance_: Array | float) -> Array:
    """Return CIE lightness L* of relative luminance Y (0 to 1); the inverse of `luminance`."""
    y = np.asarray(luminance_, dtype=float)
    return np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3)
