"""What it takes to squeeze a hot bar between flat dies: pressure, force and work."""

from __future__ import annotations

from math import log, pi, sqrt

from preview.day.strength import flow_stress
from preview.forging.squeeze import Squeeze

PLANE = 2 / sqrt(3)
"""Pressure over flow stress where the metal can flow one way only (von Mises)."""

DEEP = 8.72
"""Height over bite from which on dies only dent the steel: 1 + pi/2 times the pressure (Prandtl, Hill; from memory)."""


MOST_BLOWS = 500
"""Blows on one bite up to which they are counted."""


def factor(height: float, bite: float, width: float, friction: float) -> float:
    """Return the pressure over that of plane strain without friction, for a bar ``height`` by ``width`` and a bite, mm.

    The slab method with a constant friction factor, 1 + m L / 4 h, with L the shorter way out from under the dies
    (Hosford & Caddell, Metal Forming; from memory): an upper estimate, over plane-strain finite elements that were
    made for this project by up to a fifth for L from 1 to 8 times the height. Bites narrower than the bar is high work
    against the metal beside them: 1 at as wide as high, `DEEP` times as high 1 + pi/2, between them a straight line
    (our own choice). Beyond 8 times as wide as high it has not been checked.

    Examples
    --------
    >>> round(factor(5.0, 20.0, 40.0, 0.8), 3)
    1.8
    """
    by_friction = 1 + friction * min(bite, width) / (4 * height)
    dented = 1 + (pi / 2) * (min(max(height / bite, 1.0), DEEP) - 1) / (DEEP - 1)
    return max(by_friction, dented)


def force(squeeze: Squeeze, temperature: float, speed: float) -> float:
    """Return the force (N) at the end of one closing of dies that come down at ``speed`` (mm/s), steel in °C.

    The bite counts as full: bites that overlap take less.
    """
    stress = flow_stress(temperature, squeeze.strain, speed / squeeze.h1)
    pressure = PLANE * stress * factor(squeeze.h1, squeeze.bite, squeeze.width, squeeze.friction)
    return pressure * squeeze.bite * squeeze.width


def blows(squeeze: Squeeze, temperature: float, speed: float, energy: float, width: float) -> tuple[int, float]:
    """Return how many blows one bite takes under a die ``width`` mm long, and how far (mm) the last one goes.

    Each blow gives ``energy`` (J) to the steel, struck at ``speed`` (mm/s): as much as pressure times volume times
    strain (the ideal work, with the pressure of `force`). The bite's volume stays under the die. It is counted up to
    `MOST_BLOWS`.
    """
    volume = squeeze.bite * width * squeeze.h1  # mm3; a MPa mm3 is a thousandth of a joule
    height, count, last = squeeze.h0, 0, squeeze.h0
    while height > squeeze.h1 and count < MOST_BLOWS:
        strain = max(log(squeeze.h0 / height), 0.1)
        stress = flow_stress(temperature, strain, speed / height)
        pressure = PLANE * stress * factor(height, squeeze.bite, width, squeeze.friction)
        ratio = 1000 * energy / (pressure * volume)
        last = height * ratio / (1 + ratio)
        height, count = height - last, count + 1
    return count, last
