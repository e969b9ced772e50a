"""The forging's rows on the shop's sheet, against sums by hand."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.filling.budget import weigh
from preview.sheets.step_rows import step_rows

CAN = {"length": 80, "width": 30, "height": 40, "wall": 2, "fill_density": 0.6}
SMALL = {"thickness": 4, "outline": {"length": 60, "height": 25}}
WELD = {"step": "consolidate", "heat": {"temperature": 1100, "minutes": 60}}


def rows_of(make, press):
    picture = np.zeros((60, 100), dtype=bool)
    picture[:, 75:] = True
    mill = {"step": "trim", "faces": 0.5}
    job = make(picture, can=CAN, forging=[WELD, {"step": "press", **press}, mill], blade=SMALL)
    weighed = weigh(job, bead=0)
    return weighed, step_rows(job, weighed, METRIC)[1:]


def test_each_pass_has_its_size_and_each_step_its_heat(make):
    """Three passes of equal strain: from h to 7 mm by the third root of 7 / h each."""
    weighed, (weld, press, mill) = rows_of(make, {"height": 7, "repeat": 3})
    high = weighed.stages[0].size[2]
    passes = [float(line.split()[1]) for line in press[2].splitlines() if line[:1].isdigit() and ":" in line]
    assert passes == pytest.approx([high * (7 / high) ** (k / 3) for k in (1, 2, 3)], abs=0.05)
    hot = [float(line.split()[1]) for line in press[3].splitlines() if ":" in line and line[:1].isdigit()]
    assert hot == pytest.approx([each * 1.0138 for each in passes], abs=0.1)  # EN 1993-1-2, 3.4.1.1, at 1000 °C
    own = press[4].splitlines()  # a field of the smith's own beside each pass, on the same line
    assert [line[:2] for line in own] == [line[:2] if ":" in line[:2] else " " for line in press[2].splitlines()]
    assert weld[4] == mill[4] == " "
    through = weighed.soak.through
    assert f"1100 °C, 60 min: {through:.0f} until hot through, {60 - through:.0f} to soak (at least 30)" in weld[1]
    assert "; scale 0." in weld[1]
    assert press[1] == "none given: back to 1100 °C as needed; its scale is not counted"
    skin = weighed.carbon
    short = f"Shell and steel short of carbon: {skin.deep:.2f} mm deep."
    assert mill[0].splitlines()[1] == f"{short} 0.50 mm leave {skin.deep - 0.5:.2f} mm."
    assert (mill[1], mill[3]) == ("cold", "")  # nobody mills at a forging heat


def test_many_passes_are_told_in_short(make):
    _, (_, press, _) = rows_of(make, {"height": 7, "repeat": 14})
    assert press[2].splitlines()[1].startswith("after each pass: ")
    assert press[2].count(",") == 13
    assert press[4] == " "
