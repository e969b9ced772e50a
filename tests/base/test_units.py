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
