"""How strong hot steel is: its flow stress by heat, strain and rate."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp

from preview.base.units import Sentence, celsius, say
from preview.forging.carbon import POWDER_CARBON

HEATS, STRAINS, RATES, CARBONS = (700.0, 1200.0), (0.05, 0.7), (0.1, 100.0), (0.07, 1.2)
"""Range of the law: °C, logarithmic strain, 1/s, mass per cent of carbon; under a strain of 0.05 it is held there by
our own choice, since it goes to nothing."""

KELVIN = 273.15


def flow_stress(temperature: float, strain: float, rate: float, carbon: float = POWDER_CARBON) -> float:
    """Return the flow stress (MPa) of carbon steel as austenite; beyond the law's range it is held at its end.

    S. Shida, "Empirical formula of flow stress of carbon steels", J. JSTP 10 (1969) 610, data in 9 (1968) 127; from
    memory, and as transcribed in the open, where constants and range are the same and a sign differs: with that of
    0.126 here, steel is stronger the faster it is strained, by as much as published constants of S355J2, C22 and C45
    say (M. & T. Spittel, Landolt-Boernstein VIII/2C1, 2009, as openly transcribed), with the other it would be weaker.
    It is within 10, 31 and 19 % of these three from 1000 to 1200 °C. The papers themselves were not at hand.
    Laws for tool steels differ by up to 40 %. Some 4 % of nickel adds under 2 % (Kirihata and others, ISIJ Int. 38
    (1998) 187, from memory), so both powders count as one.

    Parameters
    ----------
    temperature
        °C.
    strain, rate
        Logarithmic, and 1/s.
    carbon
        Mass per cent.

    Examples
    --------
    >>> round(flow_stress(1050, 0.3, 1.0), 1)
    85.8
    """
    temperature = _held(temperature, (lowest_heat(carbon), HEATS[1]))
    strain, rate, carbon = _held(strain, STRAINS), _held(rate, RATES), _held(carbon, CARBONS)
    t = (temperature + KELVIN) / 1000
    hardening = 0.41 - 0.07 * carbon
    by_rate = (-0.019 * carbon + 0.126) * t + 0.075 * carbon - 0.05
    still = 9.80665 * 0.28 * exp(5 / t - 0.01 / (carbon + 0.05))
    return float(still * (1.3 * (strain / 0.2) ** hardening - 0.3 * (strain / 0.2)) * (rate / 10) ** by_rate)


def lowest_heat(carbon: float = POWDER_CARBON) -> float:
    """Return the heat (°C) from which on the steel counts as austenite in the law; see `flow_stress`."""
    return max(950 * (carbon + 0.41) / (carbon + 0.32) - KELVIN, HEATS[0])


def _held(value: float, ends: tuple[float, float]) -> float:
    return min(max(value, ends[0]), ends[1])


def beyond(temperature: float, strain: float, rate: float) -> Iterator[Sentence]:
    """Yield what is said where the law is asked beyond its range: it is held at its end."""
    if temperature > HEATS[1]:
        text = (
            "the steel's strength is known up to {} only: it is softer at {}, and the tool has less to do than is told"
        )
        yield say(text, celsius(HEATS[1]), celsius(temperature, form=".0f"))
    if strain > STRAINS[1]:
        text = "a pass from 1 to {} of the height is more than the steel's strength is known for ({}): take more passes"
        yield say(text, f"{exp(-strain):.2f}", f"{exp(-STRAINS[1]):.2f}")
    if rate > RATES[1]:
        text = (
            "blows strain the steel faster than its strength is known for, {} a second: it is stronger, so count on "
            "some more of them"
        )
        yield say(text, f"{RATES[1]:g}")
