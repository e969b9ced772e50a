from __future__ import annotations

import pytest

from preview.base.units import Units, mm2, say


def test_units_there_and_back():
    """An inch is 25.4 mm (ISO 80000-3); 1000 °C are 1832 °F."""
    inches, both = Units(sizes="inch"), Units(sizes="inch", heats="°F")
    assert inches.shown(25.4, "mm") == 1
    assert inches.kept(2.0, "mm") == pytest.approx(50.8)
    assert inches.shown(7.0, "") == 7
    assert both.shown(1000.0, "°C") == 1832
    assert both.kept(1832.0, "°C") == 1000
    assert Units().shown(3.0, "mm") == 3


def test_areas_and_volumes():
    """A square inch is 645.16 mm2, a cubic inch 16.387064 cm3 (NIST Special Publication 811, appendix B)."""
    inches = Units(sizes="inch")
    assert (inches.area(645.16), inches.area(4.5, ".1f")) == ("1 in²", "0.00698 in²")
    assert inches.volume(10 * 16.387064) == "10 in³"
    assert (Units().area(4.5, ".1f"), Units().volume(96)) == ("4.5 mm²", "96.0 cm³")
    assert say("On {}.", mm2(64.516)).told(inches) == "On 0.1 in²."
