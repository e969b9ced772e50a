"""Flow stress: the formula's worked values, and other published laws of hot steel."""

from __future__ import annotations

from math import exp

import pytest

from preview.day.strength import beyond, flow_stress, lowest_heat


@pytest.mark.parametrize(("heat", "stress"), [(1000, 100.8), (1050, 85.8), (1100, 73.8), (1150, 64.1)])
def test_high_carbon(heat, stress):
    """Shida's formula for 0.9 % C, strain 0.3, 1/s, worked out apart from this code."""
    assert flow_stress(heat, 0.3, 1.0, 0.9) == pytest.approx(stress, abs=0.06)


def hensel_spittel(heat, strain):
    """S355J2 at 1/s, with published constants (from memory): A exp(m1 T) e^m2 exp(m4/e) (1 + e)^(m5 T) exp(m7 e)."""
    hardening = strain**0.41934 * exp(0.00088 / strain) * (1 + strain) ** (-0.00149 * heat) * exp(0.12169 * strain)
    return 2852.66 * exp(-0.00244 * heat) * hardening


def test_mild_steel():
    assert flow_stress(1100, 0.3, 1.0, 0.2) == pytest.approx(79.8, abs=0.06)


def misaka(heat, strain, rate, carbon):
    """Y. Misaka & T. Yoshimoto, J. JSTP 8 (1967) 414, as openly transcribed, for 30 to 200 a second."""
    kelvin = heat + 273.15
    by_heat = (2851 + 2968 * carbon - 1120 * carbon**2) / kelvin
    return 9.80665 * exp(0.126 - 1.75 * carbon + 0.594 * carbon**2 + by_heat) * strain**0.21 * rate**0.13


@pytest.mark.parametrize("carbon", [0.2, 0.5, 0.9])
@pytest.mark.parametrize("heat", [1050, 1100, 1150, 1200])
def test_another_law(heat, carbon):
    """Two laws from the same years, fitted to other steels, at a rate that both know."""
    assert flow_stress(heat, 0.3, 30.0, carbon) == pytest.approx(misaka(heat, 0.3, 30.0, carbon), rel=0.15)


def test_it_is_held_at_its_ends_and_says_so():
    assert flow_stress(1250, 0.3, 1.0) == flow_stress(1200, 0.3, 1.0)
    assert flow_stress(1100, 1.5, 1.0) == flow_stress(1100, 0.7, 1.0)
    assert flow_stress(1100, 0.3, 900.0) == flow_stress(1100, 0.3, 100.0)
    assert flow_stress(600, 0.3, 1.0) == flow_stress(lowest_heat(), 0.3, 1.0)
    assert not list(beyond(1150, 0.3, 1.0))
    said = " ".join(map(str, beyond(1250, 1.5, 900.0)))
    assert "1200 °C" in said
    assert "more passes" in said
    assert "900 a second" in said
