"""Thermal expansion against EN 1993-1-2:2005, 3.4.1.1, worked out by hand on each of its branches."""

from __future__ import annotations

import pytest

from preview.forging.expansion import cold_size, elongation


@pytest.mark.parametrize(
    ("temperature", "value"),
    [
        (-10, 0.0), (10, 0.0), (20, 0.0),  # counted from 20
        (100, 0.0009984), (400, 0.0051984), (700, 0.0101184), (749, 0.010990404),
        (750, 0.011), (800, 0.011), (860, 0.011),  # the steel turns to austenite and stands still
        (861, 0.01102), (900, 0.0118), (1000, 0.0138), (1100, 0.0158), (1200, 0.0178),  # rising again
    ],
)  # fmt: skip
def test_elongation(temperature, value):
    assert elongation(temperature) == pytest.approx(value, abs=1e-9)


def test_a_hot_reading_becomes_a_cold_size():
    """50 mm at 1000 °C: 50 / 1.0138."""
    assert cold_size(50.0, 1000) == pytest.approx(49.319, abs=5e-4)
    assert cold_size(50.0, 20) == 50.0
