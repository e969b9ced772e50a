"""What printed walls weigh, and how long they take."""

from __future__ import annotations

from math import pi

DENSITY = 1.24
"""Density of polylactide, the usual filament, g/cm3: makers' data sheets."""

SPEED = 25.0
"""How fast such walls are usually printed, mm/s: common practice, no published source."""


def bead_grams(length: float, bead: float, layer: float) -> float:
    """Return the weight (g) of a bead ``length`` long, ``bead`` wide and ``layer`` high, mm.

    A bead is a strip with half-round sides: the form that slicing programs reckon with.
    """
    return length * layer * (bead - layer * (1 - pi / 4)) / 1000 * DENSITY


def bead_minutes(length: float) -> float:
    """Return how long a bead ``length`` long (mm) takes at `SPEED`, minutes."""
    return length / SPEED / 60
