from __future__ import annotations

import pytest
from pydantic import ValidationError

from preview.base.settings import DURATION_UNITS, LENGTH_UNITS, TEMPERATURE_UNITS, quantity
from preview.forging.steps import Press
from preview.forging.steps.base import Heat


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [("1/4 in", 6.35), ('1 1/2"', 38.1), ("0.5 in", 12.7), ("3 cm", 30.0), ("12 mm", 12.0), ("7.5", 7.5), (4, 4)],
)
def test_lengths(text, millimetres):
    assert quantity(text, LENGTH_UNITS) == pytest.approx(millimetres, abs=1e-12)


def test_temperature_and_time():
    assert quantity("2200 F", TEMPERATURE_UNITS) == pytest.approx((2200 - 32) * 5 / 9)
    assert quantity("1150 °C", TEMPERATURE_UNITS) == 1150
    assert quantity("1.5 h", DURATION_UNITS) == 90


@pytest.mark.parametrize("text", ["", "in", "1/0 in", "3/16", "4 ft", "one", "1..2 mm", "4 F"])
def test_what_is_no_length(text):
    with pytest.raises(ValueError, match=r"need"):
        quantity(text, LENGTH_UNITS)


@pytest.mark.parametrize("value", [True, float("nan"), float("inf"), None, [1], "1150 mm"])
def test_what_is_no_temperature(value):
    with pytest.raises(ValidationError):
        Heat(temperature=value, minutes=1)


def test_settings_are_frozen_and_hashable():
    press = Press(height="1/2 in")
    assert press.height == 12.7
    assert hash(press) == hash(Press(height=12.7))
    with pytest.raises(ValidationError, match="frozen"):
        press.height = 3
