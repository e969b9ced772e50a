"""Force and blows: finite elements, limits worked by hand, the work integrated."""

from __future__ import annotations

from math import log, pi, sqrt

import pytest
from scipy.integrate import quad

from preview.day.force import blows, factor, force
from preview.day.strength import flow_stress
from preview.forging.squeeze import Squeeze

FINITE_ELEMENTS = {
    (1, 0.2): 1.020, (1, 0.5): 1.023, (1, 0.8): 1.024,
    (2, 0.2): 1.091, (2, 0.5): 1.192, (2, 0.8): 1.240,
    (4, 0.2): 1.192, (4, 0.5): 1.447, (4, 0.8): 1.663,
    (8, 0.2): 1.392, (8, 0.5): 1.952, (8, 0.8): 2.474,
}  # fmt: skip
"""Pressure over that without friction, by width over height and friction factor: plane-strain rigid-viscoplastic finite
elements (rate exponent 0.02) made for this project."""


@pytest.mark.parametrize(("wide", "friction"), FINITE_ELEMENTS)
def test_slab_method_is_an_upper_estimate(wide, friction):
    told = factor(10.0, 10.0 * wide, 1000.0, friction)
    assert 1.0 <= told / FINITE_ELEMENTS[wide, friction] <= 1.2


def test_limits_by_hand():
    """As wide as high without friction 1; a dent far into a half space 1 + pi/2 (Prandtl)."""
    assert factor(10.0, 10.0, 1000.0, 0.0) == 1
    assert factor(1000.0, 10.0, 1000.0, 0.7) == pytest.approx(1 + pi / 2)
    pressed = Squeeze(12.0, 10.0, 30.0, 100.0, 10.0, 0.0)
    stress = flow_stress(1050, log(1.2), 1.0)
    assert force(pressed, 1050, 10.0) == pytest.approx(2 / sqrt(3) * stress * 10 * 30)


def test_force_of_a_usual_last_pass():
    """By hand: 7.5 to 5.6 mm, 62 wide, bite 20, m 0.6, 1050 °C: 1.1547 x 92.4 MPa x 1.536 x 1240 mm2 = 203 kN."""
    last = Squeeze(7.5, 5.6, 62.0, 287.0, 20.0, 0.6)
    stress = flow_stress(1050, log(7.5 / 5.6), 10 / 5.6)
    assert force(last, 1050, 10.0) == pytest.approx(2 / sqrt(3) * stress * (1 + 0.6 * 20 / 22.4) * 1240)
    assert 12 < force(last, 1050, 10.0) / 9806.65 < 24


def test_blows_add_up_to_the_work():
    """Many small blows: their energy is the integral of pressure times volume over the strain."""
    pressed = Squeeze(10.0, 8.0, 40.0, 100.0, 20.0, 0.7)

    def pressure(height):
        stress = flow_stress(1050, max(log(10 / height), 0.1), 100.0)
        return 2 / sqrt(3) * stress * factor(height, 20.0, 40.0, 0.7)

    work = quad(lambda height: pressure(height) * 20 * 40 * 8 / height, 8, 10)[0] / 1000
    count, last = blows(pressed, 1050, 5000.0, work / 200, 40.0)
    assert count == pytest.approx(200, rel=0.02)
    assert last == pytest.approx(2 / 200, rel=0.3)
