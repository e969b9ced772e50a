"""How a can that is still loose cools and is hot again: powder conducts little, so its skin cools, its middle does not.

The can is taken as boxes within boxes: the wall, then layers of powder, each as hot all round.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, prod

import numpy as np

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.day.cooling import AIR, EMISSIVITY, HOTTER, KELVIN, ROOM, SOLID_CONDUCTIVITY, STEFAN, taken_by_dies
from preview.forging.bar import Bar
from preview.forging.heating import POWDER_CONDUCTIVITY, SOLID_DENSITY, STEEL_HEAT

LAYERS = 8
"""Of powder, from the wall to the middle; four times as many change the time out of the fire by 2 %."""

STEP, LONGEST, COLDEST = 0.5, 600.0, 400.0
"""Seconds between two places of the cooling that are kept, for how long it is followed, and down to how many kelvin
under the fire: nobody squeezes powder so cold."""

EVEN = 15.0
"""Kelvin under the fire at which the powder, on the mean, counts as hot again (our own choice)."""

LONGEST_AGAIN = 7200.0
"""Seconds for which a can is heated again at the most."""


@dataclass(frozen=True, eq=False)
class LooseCan:
    """A can of powder out of a fire that it was even in; its heat is the powder's mean, which is what has to weld.

    Parameters
    ----------
    capacity
        Of wall and powder, J/K.
    layers
        °C of wall and layers at each `STEP` since the fire, ``(times, 1 + LAYERS)``.
    means
        °C of the powder on the mean, likewise.
    boxes
        What it is made of.
    """

    capacity: float
    layers: Array
    means: Array
    boxes: _Boxes

    @classmethod
    def of(cls, size: tuple[float, float, float], met: Bar, fire: float) -> LooseCan:
        """Return the can ``met`` (mm) squeezed to an outside ``size``, out of a fire of so many °C.

        Its powder's weight stays: it fills so much more of its room.
        """
        inside, before = (_inside(each, met.wall) for each in (size, met.size))
        density = min(met.density * prod(before) / prod(inside), 1.0)
        return _cooling(tuple(size), met.wall, met.density, density, fire)

    def cooled(self, temperature: float, seconds: float, touched: float = 0.0, touching: float = 0.0) -> float:
        """Return how hot the powder is after some ``seconds``; see `preview.day.cooling.Piece.cooled`."""
        there = self._since(temperature) + seconds
        after = float(np.interp(there, self._times, self.means))
        skin = float(np.interp(there, self._times, self.layers[:, 0]))
        return after - taken_by_dies(skin, touched, touching) / self.capacity

    def skin(self, temperature: float) -> float:
        """Return how hot (°C) its skin is when the powder is so hot on the mean."""
        return float(np.interp(self._since(temperature), self._times, self.layers[:, 0]))

    def lasts(self, start: float, end: float) -> float:
        """Return for how many seconds its powder stays over ``end`` from ``start`` on, °C, if no dies touch it."""
        return max(self._since(end) - self._since(start), 0.0)

    def minutes_again(self, temperature: float, fire: float) -> float:
        """Return how long (min) its powder takes in a fire until it is as hot as that again, on the mean."""
        there = min(int(self._since(temperature) / STEP), len(self.layers) - 1)
        return self.boxes.heated(self.layers[there], fire) / 60

    @property
    def _times(self) -> Array:
        return np.arange(len(self.means)) * STEP

    def _since(self, temperature: float) -> float:
        """Return how many seconds out of the fire it is as hot as that."""
        return float(np.interp(-temperature, -self.means, self._times))


@kept
def _cooling(size: tuple[float, ...], wall: float, loose: float, density: float, fire: float) -> LooseCan:
    boxes = _Boxes.of(size, wall, loose, density)
    layers = np.array(list(boxes.cooling(fire)))
    means = layers[:, 1:] @ boxes.weights
    return LooseCan(float(boxes.capacities.sum()), layers, means, boxes)


def _inside(size: tuple[float, ...], wall: float) -> tuple[float, ...]:
    return tuple(side - 2 * wall for side in size)


def conductivity(loose: float, density: float) -> float:
    """Return what powder conducts (W/(m K)) that was filled to ``loose`` of solid and is pressed to ``density``.

    Between that of hot powder as it is filled and that of solid steel, by equal ratios (our own choice: the necks that
    sinter grow by orders, and neither end is known to better than a factor of two).
    """
    share = 1.0 if density >= 1 else (density - loose) / (1 - loose)
    return float(POWDER_CONDUCTIVITY[1] * (SOLID_CONDUCTIVITY / POWDER_CONDUCTIVITY[1]) ** max(share, 0.0))


@dataclass(frozen=True, eq=False)
class _Boxes:
    """Boxes within boxes: what each holds (J/K), what goes from each to the next (W/K), and the can's surface (m2)."""

    capacities: Array
    conductances: Array
    area: float

    @classmethod
    def of(cls, size: tuple[float, ...], wall: float, loose: float, density: float) -> _Boxes:
        outer = np.array(size) / 1000
        wall = wall / 1000
        inside = outer - 2 * wall
        deep = inside.min() / 2 / LAYERS
        boxes = [outer, *(inside - 2 * deep * number for number in range(LAYERS)), np.zeros(3)]
        volumes = -np.diff([each.prod() for each in boxes])
        steel = np.array([1.0] + [density] * LAYERS)
        areas = np.array([_surface(each) for each in boxes[1:-1]])
        conducts = conductivity(loose, density)
        ways = np.array([wall / 2 / SOLID_CONDUCTIVITY + deep / 2 / conducts] + [deep / conducts] * (LAYERS - 1))
        return cls(SOLID_DENSITY * STEEL_HEAT * steel * volumes, areas / ways, _surface(outer))

    @property
    def weights(self) -> Array:
        """Share of each layer of powder in all of it."""
        return np.asarray(self.capacities[1:] / self.capacities[1:].sum())

    def cooling(self, fire: float) -> Iterator[Array]:
        """Yield how hot (°C) wall and layers are, out of a fire and after each `STEP` in the air."""
        heats, weights, steps = np.full(1 + LAYERS, fire), self.weights, self._steps()
        for _ in range(round(LONGEST / STEP)):
            yield heats.copy()
            if float(heats[1:] @ weights) < fire - COLDEST:
                return
            for seconds in steps:
                radiated = EMISSIVITY * STEFAN * ((heats[0] + KELVIN) ** 4 - (ROOM + KELVIN) ** 4)
                self._go(heats, -self.area * (radiated + AIR * (heats[0] - ROOM)), seconds)

    def heated(self, heats: Array, fire: float) -> float:
        """Return in how many seconds the powder is within `EVEN` of ``fire`` (°C), from wall and layers so hot.

        By radiation from a fire that is `HOTTER`, until the skin is at ``fire``, where it is held.
        """
        heats, weights, steps, spent = heats.copy(), self.weights, self._steps(), 0.0
        while float(heats[1:] @ weights) < fire - EVEN and spent < LONGEST_AGAIN:
            for seconds in steps:
                taken = EMISSIVITY * STEFAN * ((fire + HOTTER + KELVIN) ** 4 - (heats[0] + KELVIN) ** 4)
                self._go(heats, self.area * taken, seconds)
                heats[0] = min(heats[0], fire)
            spent += STEP
        return spent

    def _steps(self) -> list[float]:
        """Return the parts (s) of a `STEP` that the layers' exchange is stable in."""
        beside = np.zeros(len(self.capacities))
        beside[:-1] += self.conductances
        beside[1:] += self.conductances
        count = ceil(STEP / (0.5 * float((self.capacities / beside).min())))
        return [STEP / count] * count

    def _go(self, heats: Array, taken: float, seconds: float) -> None:
        moved = self.conductances * (heats[1:] - heats[:-1]) * seconds  # outwards, J
        heats[:-1] += moved / self.capacities[:-1]
        heats[1:] -= moved / self.capacities[1:]
        heats[0] += taken * seconds / self.capacities[0]


def _surface(size: Array) -> float:
    length, width, height = size
    return float(2 * (length * width + length * height + width * height))
