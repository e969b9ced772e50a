"""Thermal expansion of steel, so that a hot caliper reading becomes a cold size."""

from __future__ import annotations


def elongation(temperature: float) -> float:
    """Return the relative elongation of carbon steel at ``temperature`` (degrees Celsius), counted from 20.

    EN 1993-1-2:2005, 3.4.1.1 (written for structural steel; tool steel differs by some 0.001). Beyond 1200 degrees
    the last branch goes on.

    Examples
    --------
    >>> round(elongation(1000), 5)
    0.0138
    """
    t = temperature
    if t < 20:
        return 0.0
    if t < 750:
        return 1.2e-5 * t + 0.4e-8 * t * t - 2.416e-4
    if t <= 860:
        return 1.1e-2
    return 2e-5 * t - 6.2e-3


def cold_size(hot: float, temperature: float) -> float:
    """Return the cold size of what measures ``hot`` at ``temperature`` (degrees Celsius); same unit."""
    return hot / (1 + elongation(temperature))
