"""The waves that single bites leave: under a bite's middle the metal goes farther, or less far, than at its ends.

What is known comes from plane-strain finite-element bites at the start of their travel, made for this project: upright
lines swing by 0.12 of the die's travel where the bite is 0.65 of the thickness, by 0.23 where it is 2.5 times it, and
three to seven times less where each bite overlaps the last by half. Good to a factor of two.
"""

from __future__ import annotations

from math import log, sqrt

import numpy as np

BITES, SWINGS = (0.65, 2.5), (0.12, 0.23)
"""Bite over thickness, and by how much of the die's travel upright lines swing to either side; see the module."""

LAPPED = 0.2
"""Share of a wave that is left where bites overlap by half: between a third and a seventh."""

UNPRESSED = 0.3
"""How far uneven blows of a hammer alone move the pattern, mm (common practice, no published source)."""

WORTH_TELLING = 2.0
"""Waves (mm) from which on it is said that bites are to overlap: a motif's parts stand out of place by then (our own
choice)."""


def wave(bite: float, thickness: float, travel: float) -> float:
    """Return how far (mm, rms) bites laid end to end leave lines off; bar's thickness and the die's travel in mm.

    Examples
    --------
    >>> round(wave(19.5, 30.0, 10.0), 4)  # 0.12 of 10 mm, over the root of two
    0.8485
    """
    return float(np.interp(log(bite / thickness), np.log(BITES), SWINGS)) * travel / sqrt(2)


def left_by(waves: tuple[tuple[float, float], ...]) -> float:
    """Return how far (mm, rms, each way in the bar's plane) waves of many passes leave the pattern off at the last.

    ``waves`` are their sizes and the bar's thickness after each pass, mm. They add up as unlike ones do, and grow with
    the bar's plane: by the root of the thickness that is still to go, each way.
    """
    return sqrt(sum(size**2 * thickness / waves[-1][1] for size, thickness in waves))
