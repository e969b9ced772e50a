"""How long a filled can has to be at heat: until its middle is as hot as its skin, and then a soak."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi, prod

from preview.base.curves import crossing
from preview.base.results import Minutes
from preview.forging.bar import Can

STEEL_HEAT = 650.0
"""Specific heat of steel over 900 °C, J/(kg K): EN 1993-1-2, 3.4.1.2."""

SOLID_DENSITY = 7850.0
"""kg/m3; the heat that a can takes up goes by its weight."""

POWDER_CONDUCTIVITY = (1.0, 1.5, 3.0)
"""W/(m K) of steel powder filled to some 0.6 of solid in air, on its way to welding heat: least, usual, most (from
memory). Loose and cold it is 0.1 to 0.5, and grows as particles glow and sinter; hot solid steel has 27 (EN 1993-1-2,
3.4.1.3), so it is the powder that takes the time."""

THROUGH = 0.95
"""Share of the way from cold to the skin's heat that the middle has gone when the can counts as heated through."""

SOAK = 30.0
"""Minutes at heat after that (common practice, no published source: 15 to 60)."""

RULE = 60 / 25
"""Minutes at heat for a millimetre of the least thickness: an hour for 25 mm (common practice, no published source)."""

TERMS = 40


@dataclass(frozen=True)
class Soak:
    """Minutes that a can has to be at heat before the first squeeze.

    Parameters
    ----------
    through, soonest, latest
        Until it is heated through, as powder usually conducts, at its best and at its worst.
    least
        Until it has soaked as well.
    by_rule
        What the rule of an hour for every 25 mm gives instead.
    """

    through: Minutes
    soonest: Minutes
    latest: Minutes
    least: Minutes
    by_rule: Minutes


def soak(can: Can) -> Soak:
    """Return how long ``can`` has to be at heat; its wall, which conducts so well, counts as the skin."""
    latest, through, soonest = (heat_through(can.inside, can.fill_density, each) for each in POWDER_CONDUCTIVITY)
    return Soak(through, soonest, latest, through + SOAK, RULE * (min(can.inside) + 2 * can.wall))


def heat_through(size: tuple[float, float, float], density: float, conductivity: float) -> float:
    """Return the minutes until the middle of a box is `THROUGH` of the way to the heat at which its skin is held.

    Conduction with constant properties: the coldness left in the middle is the product of three slabs' (Carslaw &
    Jaeger, Conduction of Heat in Solids, 2nd ed. 1959; from memory). In Fourier numbers a t / L^2,
    with L half the thickness, a slab takes 1.312, a square bar 0.705; a round one, on its radius, 0.600. The time grows
    with the square of the size.

    Parameters
    ----------
    size
        Length, width and height, mm.
    density
        Relative density of what is in it.
    conductivity
        W/(m K).
    """
    diffusivity = conductivity / (density * SOLID_DENSITY * STEEL_HEAT) * 1e6 * 60  # mm2/min
    slab = (min(size) / 2) ** 2 / diffusivity

    def warm(time: float) -> float:
        return 1 - THROUGH - prod(cold_in_slab(diffusivity * time / (side / 2) ** 2) for side in size)

    return crossing(warm, 0.1 * slab, 2 * slab)


def cold_in_slab(fourier: float) -> float:
    """Return the share of its coldness that the middle of a slab has left at a Fourier number.

    Examples
    --------
    >>> round(cold_in_slab(1.312), 3)
    0.05
    """
    if fourier < 0.01:
        return 1.0
    odd = range(1, 2 * TERMS, 2)
    return float(sum((-1) ** (n // 2) * 4 / (pi * n) * exp(-((n * pi / 2) ** 2) * fourier) for n in odd))
