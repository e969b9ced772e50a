from __future__ import annotations

import numpy as np
import pytest

from preview.forge.fitting import FLOW_SPREAD_ERROR, fit_placed, fit_readings
from preview.forge.marks import placed
from preview.forge.readings import make_readings
from preview.forging.press_flow import Pass, spread_share
from tests.support.made_up import forge
from tests.support.viscoplastic import Pressing


@pytest.fixture
def long_steps(monkeypatch):
    """Integrate the flow in longer steps of one sweep, alike where readings are made up and where they are fitted.

    For tests that ask whether the statistics hold, whatever the flow.
    """
    monkeypatch.setattr("preview.forging.press_flow.STRAIN_STEP", 0.3)
    monkeypatch.setattr("preview.forging.press_flow.SWEEPS_END", 1e16)


@pytest.mark.slow
@pytest.mark.usefixtures("long_steps")
def test_stated_intervals_cover_the_truth():
    """60 forges drawn from the prior, caliper noise 0.1 mm: intervals of the two cover as often as they say."""
    rng = np.random.default_rng(5)
    hits = {level: [] for level in (0.80, 0.95)}
    for _ in range(60):
        factor, friction = rng.normal(1, 0.12), rng.normal(0.7, 0.2)
        while not 0 < friction < 1:
            friction = rng.normal(0.7, 0.2)
        found = fit_readings(make_readings(forge(rng, factor, friction))).calibration
        for level, wide in ((0.80, 1.2816), (0.95, 1.9600)):
            for name, truth in (("spread_factor", factor), ("friction", friction)):
                off = abs(getattr(found, name) - truth)
                hits[level].append(off <= wide * getattr(found, f"{name}_error"))
    for level, each in hits.items():
        low, high = (0.75, 0.85) if level == 0.80 else (0.92, 0.98)
        assert low <= np.mean(each) <= high


@pytest.mark.slow
@pytest.mark.usefixtures("long_steps")
def test_more_bars_make_the_errors_smaller():
    """All but the part that is the flow law's own, which no bar tells of."""
    rng = np.random.default_rng(2)
    rows = [row for _ in range(4) for row in forge(rng, 1.1, 0.6)]
    one = fit_readings(make_readings(rows[:6])).calibration
    four = fit_readings(make_readings(rows)).calibration
    of_bars = [np.sqrt(each.spread_factor_error**2 - FLOW_SPREAD_ERROR**2) for each in (one, four)]
    assert of_bars[1] < 0.7 * of_bars[0]
    assert four.spread_factor == pytest.approx(1.1, abs=3 * four.spread_factor_error)


@pytest.mark.usefixtures("long_steps")
def test_one_wild_row_moves_the_fit_by_less_than_its_error_and_is_named():
    rng = np.random.default_rng(3)
    rows = forge(rng, 1.05, 0.6) + forge(rng, 1.05, 0.6)
    clean = fit_readings(make_readings(rows)).calibration
    wild = [dict(row) for row in rows]
    wild[2]["width_mid_after"] += 5.0
    wild[2]["width_face_after"] += 5.0
    wild[2].pop("length_after")
    fit = fit_readings(make_readings(wild))
    found = fit.calibration
    assert abs(found.spread_factor - clean.spread_factor) < found.spread_factor_error
    assert abs(found.friction - clean.friction) < found.friction_error
    assert any("Row 3" in word for word in fit.words)


@pytest.mark.usefixtures("long_steps")
def test_without_mid_height_widths_friction_stays_at_the_prior_and_it_says_so():
    rng = np.random.default_rng(4)
    rows = forge(rng, 1.0, 0.3)
    for row in rows:
        row["width_mid_before"] = row["width_mid_after"] = None
        row["width_face_before"] = row["width_face_after"] = None
        row["width_mid_before"] = 35.0
    fit = fit_readings(make_readings(rows))
    assert fit.calibration.friction == pytest.approx(0.7, abs=0.02)
    assert fit.calibration.friction_error == pytest.approx(0.2, abs=0.01)
    assert any("friction stays" in word for word in fit.words)


@pytest.mark.slow
def test_finite_elements_give_their_friction_back():
    """Markers of the independent finite-element computation, friction 0.5, read to 1 per cent of the height."""
    height, width, friction, spread = 20.0, 40.0, 0.5, 0.5
    final = height * 0.7
    share = np.linspace(0.05, 0.85, 9)
    y, z = (each.ravel() for each in np.meshgrid(share * width / 2, share * height / 2))
    found = Pressing(width / 2, height / 2, spread, friction).press(np.stack([y, z]), -np.log(0.7), 6)
    y, z, seen = (np.concatenate([each, -each], axis=-1) for each in (y, z, found))

    def misfit(factor: float, m: float, place: np.ndarray) -> np.ndarray:
        law = Pass(height, final, width, factor * spread, m).forward(y, z)
        return turned.T - placed(np.stack(law, axis=1), place)

    turned = np.array([[np.cos(0.05), -np.sin(0.05)], [np.sin(0.05), np.cos(0.05)]]) @ seen + np.array([[3.0], [-1.0]])
    calibration, misfit = fit_placed(misfit, len(y), error=0.14)
    assert abs(calibration.friction - friction) <= calibration.friction_error < 0.08
    assert calibration.spread_factor == pytest.approx(1.0, abs=0.03)
    assert misfit < 0.02 * final


@pytest.mark.usefixtures("long_steps")
def test_hot_readings_are_converted_by_the_standard():
    """EN 1993-1-2, 3.4.1.1: what measures 1.0138 times as much at 1000 C is the same bar."""
    rows = forge(np.random.default_rng(5), 1.0, 0.5, noise=0.0)
    hot = [
        {name: value * 1.0138 if name != "bite" else value for name, value in row.items()} | {"temperature": 1000}
        for row in rows
    ]
    cold, warm = (fit_readings(make_readings(each)).calibration for each in (rows, hot))
    assert warm.spread_factor == pytest.approx(cold.spread_factor, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.4, 0.8])
def test_finite_element_widths_give_friction_back(friction):
    """Widths at the dies and at mid-height of pressings that owe nothing to the flow law, read with the caliper."""
    rows = []
    for height, width in ((30.0, 34.0), (24.0, 48.0), (30.0, 60.0)):
        section = Pressing(width / 2, height / 2, 0.4, friction, columns=14, rows=8)
        section.press(np.array([[5.0], [5.0]]), -np.log(0.8), 4)
        bite = np.interp(0.4, [spread_share(x, 1.0) for x in np.linspace(0, 2, 50)], np.linspace(0, 2, 50)) * width
        row = {
            "thickness_before": height, "thickness_after": 0.8 * height, "bite": bite,
            "width_face_before": width, "width_mid_before": width,
            "width_face_after": 2 * section.side[0, -1], "width_mid_after": 2 * section.side[0, 0],
        }  # fmt: skip
        rows.append(row)
    found = fit_readings(make_readings(rows)).calibration
    assert found.friction == pytest.approx(friction, abs=2 * found.friction_error)
    assert found.friction_error < 0.15
    assert found.spread_factor == pytest.approx(1.0, abs=0.1)
