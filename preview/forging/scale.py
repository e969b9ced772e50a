"""Metal lost to scale in the fire."""

from __future__ import annotations

from math import exp, sqrt

GAS_CONSTANT = 8.314462618
"""J/(mol K) (CODATA 2018)."""

RATE, ENERGY = 6.1e2, 169452.0
"""Parabolic growth of the whole scale on iron in air, mm2/s and J/mol: the data of Paidassi in Chen & Yuen, Oxidation
of Metals 59 (2003) 433; quoted from memory."""

SCALE_OVER_METAL = 1.77
"""Volume of wustite over that of the iron in it; quoted from memory."""


USUAL_SHARE = 0.5
"""Share of what iron loses in air that steel loses in a fire neither rich nor poor in air (common practice, no
published source). Rules of forging allow some 5 % of the weight (from memory); a plant that forges rings reports
4.5 %, and half the scale at a better ratio of gas to air (Morales-Franco and others, a congress on corrosion, Mexico;
its abstract)."""


def scale_loss(temperature: float, minutes: float) -> float:
    """Return the depth of metal (mm) that iron loses in air at ``temperature`` (°C) in ``minutes``.

    Examples
    --------
    >>> round(scale_loss(1100, 30), 3)
    0.354
    """
    rate = RATE * exp(-ENERGY / (GAS_CONSTANT * (temperature + 273.15)))
    return sqrt(rate * minutes * 60) / SCALE_OVER_METAL
