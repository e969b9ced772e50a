from __future__ import annotations

import pytest

from preview.base.units import Units


def test_units_there_and_back():
    """An inch is 25.4 mm (ISO 80000-3); 1000 °C are 1832 °F."""
    inches, both = Units(sizes="inch"), Units(sizes="inch", heats="°F")
    assert inches.shown(25.4, "mm") == 1
    assert inches.kept(2.0, "mm") == pytest.approx(50.8)
    assert inches.shown(7.0, "") == 7
    assert both.shown(1000.0, "°C") == 1832
    assert both.kept(1832.0, "°C") == 1000
    assert Units().shown(3.0, "mm") == 3


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Bar 283.8 x 53.0 x 3.6 mm", "Bar 11.173 x 2.087 x 0.142 in"),
        ("24.0 / 24.0 / 15.7 mm", "0.945 / 0.945 / 0.618 in"),
        ("-1.2 to +0.8 mm", "-0.047 to +0.031 in"),
        ("10 mm² and 5 mm³ stay", "10 mm² and 5 mm³ stay"),
        ("30 µm, 12 min, 45 %", "30 µm, 12 min, 45 %"),
        ("cut at 25.4mm", "cut at 1.000 in"),
        ("1150 °C, 40 min", "2102 °F, 40 min"),
    ],
)
def test_words_in_inches(text, said):
    assert Units(sizes="inch", heats="°F").words(text) == said
    assert Units().words(text) == text
