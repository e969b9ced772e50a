"""How fast hot steel cools between the fire and the dies, and how long it takes to be hot again."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from preview.forging.heating import SOLID_DENSITY, STEEL_HEAT, heat_through

STEFAN = 5.670374e-8
"""W/(m2 K4) (CODATA 2018)."""

EMISSIVITY = 0.8
"""Of scaled steel (from memory; EN 1993-1-2, 2.2, has 0.7 for carbon steel in a fire)."""

AIR = 10.0
"""W/(m2 K) to still air (from memory: 5 to 15)."""

DIES = 3000.0
"""W/(m2 K) to dies under load: the geometric middle of 1000 to 10 000, what is published for hot forging (Polozine &
Schaeffer, J. Mater. Process. Technol. 195 (2008) 260; Yukawa and others, Procedia Engineering 81 (2014) 492; the values
from memory). Good to a factor of three."""

ROOM, WARM_DIES = 20.0, 150.0
"""°C of the room, and of dies that have been at work a while (from memory)."""

KELVIN = 273.15

HOTTER = 30.0
"""How much hotter (K) than the steel is to be the fire stands (common practice, no published source)."""

SOLID_CONDUCTIVITY = 27.0
"""W/(m K) of hot solid steel: EN 1993-1-2, 3.4.1.3."""

STEP = 0.5
"""Seconds of one step of the reckoning; half of it changes a heat by under 1 K."""


@dataclass(frozen=True)
class Piece:
    """A bar that is as hot all through, as it cools.

    It is so up to some 35 mm (a Biot number of a tenth, with the loss by radiation at 1150 °C);
    thicker, the skin is colder than told and the middle hotter.

    Parameters
    ----------
    capacity
        J/K.
    area
        Of its whole surface, m2.
    """

    capacity: float
    area: float

    @classmethod
    def of(cls, size: tuple[float, float, float]) -> Piece:
        """Return a solid bar of length, width and thickness in mm; see `preview.day.loose` for powder."""
        length, width, thickness = (side / 1000 for side in size)
        area = 2 * (length * width + length * thickness + width * thickness)
        return cls(SOLID_DENSITY * STEEL_HEAT * length * width * thickness, area)

    def loss(self, temperature: float) -> float:
        """Return what it loses (W) by radiation and to the air at a temperature, °C."""
        radiated = EMISSIVITY * STEFAN * ((temperature + KELVIN) ** 4 - (ROOM + KELVIN) ** 4)
        return self.area * (radiated + AIR * (temperature - ROOM))

    def cooled(self, temperature: float, seconds: float, touched: float = 0.0, touching: float = 0.0) -> float:
        """Return how hot (°C) it is, on the mean, after some ``seconds``.

        For ``touching`` of these, dies touch ``touched`` mm2 of it.
        """
        steps = max(ceil(seconds / STEP), 1)
        for _ in range(steps):
            temperature -= self.loss(temperature) * seconds / steps / self.capacity
        return temperature - taken_by_dies(temperature, touched, touching) / self.capacity

    def warmed(self, start: float, end: float) -> float:
        """Return how long (min) it takes to take on heat through its skin, from ``start`` to ``end``, °C.

        By radiation alone, from a fire that is `HOTTER`; moving flames are faster.
        """
        fire, seconds, temperature = (end + HOTTER + KELVIN) ** 4, 0.0, start
        while temperature < end:
            taken = EMISSIVITY * STEFAN * self.area * (fire - (temperature + KELVIN) ** 4)
            temperature += taken / self.capacity
            seconds += 1.0
        return seconds / 60


def taken_by_dies(
    temperature: float, area: float, seconds: float, *, conductance: float = DIES, dies: float = WARM_DIES
) -> float:
    """Return the heat (J) that ``dies`` (°C) take through an ``area`` (mm2) of steel; ``conductance`` in W/(m2 K)."""
    return conductance * area * 1e-6 * (temperature - dies) * seconds


def minutes_to_heat(size: tuple[float, float, float], start: float, end: float) -> float:
    """Return how long (min) a solid bar (mm) takes from ``start`` to ``end``, °C: by its skin, then to its middle."""
    return Piece.of(size).warmed(start, end) + heat_through(size, 1.0, SOLID_CONDUCTIVITY)
