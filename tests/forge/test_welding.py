"""What a weighed and measured can says of its fill, its settling and its fire."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.base.units import Units
from preview.forge.bands import ellipses_of
from preview.forge.measurements import learn
from preview.forge.readings import CAN_COLUMNS, CanReading, make_can_reading, make_readings
from preview.forge.welding import fit_settling
from preview.job.calibration import dump_calibration, load_calibration

TABLES = {
    "can": {"length": 80, "width": 30, "height": 40, "wall": 2, "fill_density": 0.6},
    "forging": [
        {"step": "consolidate", "shares": {"along": 0.05, "across": 0.05, "through": 0.9}},
        {"step": "press", "height": 9, "bite": 20, "repeat": 2},
        {"step": "trim", "faces": 1.0},
    ],
    "blade": {"thickness": 6, "outline": {"length": 90, "height": 25}},
}


def test_a_weighed_can_is_as_full_as_it_weighs(make):
    """By hand: 80 x 30 x 40 mm hold 96 cm3, of 0.55 times some 7.87 g/cm3: 415.5 g."""
    job = make(**TABLES)
    density = np.mean([powder.density for powder in job.powders])
    found, words = fit_settling(job, CanReading(powder_weight=96 * 0.55 * density))
    assert 0.6 * found.fill_factor == pytest.approx(0.55, abs=0.001)
    assert 0.6 * found.fill_factor_error < 0.004
    assert (found.along, found.along_error, found.scale_factor_error) == pytest.approx((0, 0.1, 0.4), abs=1e-6)
    assert "0.55" in str(words[0])
    assert any("hardly known" in str(word) for word in words)


def test_welded_sizes_tell_how_it_settled(make):
    """By hand: each inside size shrinks by 0.57 ** its share, and the 2 mm walls stay."""
    job = make(**TABLES)
    rho, along, across = 0.57, 0.12, 0.02
    shares = along, across, 1 - along - across
    sizes = [inside * rho**share + 4 for inside, share in zip((80, 30, 40), shares, strict=True)]
    density = np.mean([powder.density for powder in job.powders])
    row = dict(zip(CAN_COLUMNS, [96 * rho * density, *sizes], strict=False))
    learnt = learn(job, readings=[row])
    found = learnt.calibration.settling
    assert learnt.fit is None
    assert learnt.calibration.rows == 0
    assert (0.6 * found.fill_factor, 0.05 + found.along, 0.05 + found.across) == pytest.approx(
        (rho, along, across), abs=0.006
    )
    assert found.along_error < 0.02
    assert found.across_error < 0.04
    made = job.model_copy(update={"forge": learnt.calibration})
    assert made.history.bars[1].size == pytest.approx(sizes, abs=0.3)
    assert made.settling == found


def test_a_can_is_kept_in_the_calibration_file(make, tmp_path):
    job = make(**TABLES)
    known = learn(job, readings=[{"powder_weight": "400 g", "welded_thickness": 28.0}]).calibration
    (tmp_path / "forge.toml").write_text(dump_calibration(known))
    assert load_calibration(tmp_path / "forge.toml") == known
    np.testing.assert_allclose(known.settling.correlations, known.settling.correlations.T)
    assert np.linalg.eigvalsh(known.settling.correlations).min() > -1e-9


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([{"powder_weight": 900}], "powder_weight: the can holds"),
        ([{"powder_weight": 400}, {"powder_weight": 410}], "row 2, powder_weight: is said in a row above"),
        ([{"welded_length": "long"}], "row 1, welded_length: a number is needed"),
    ],
)
def test_a_can_that_cannot_be(make, rows, words):
    with pytest.raises(RequestError, match=words):
        learn(make(**TABLES), readings=rows)


def test_a_forging_that_welds_nothing_has_no_can(make):
    tables = {**TABLES, "can": {**TABLES["can"], "fill_density": 1}, "forging": TABLES["forging"][1:]}
    with pytest.raises(RequestError, match="welds no powder"):
        learn(make(**tables), readings=[{"powder_weight": 400}])


def test_cells_of_the_can_in_the_units_of_the_reader():
    """A pound is 453.59237 g and an inch 25.4 mm, by the international agreement of 1959."""
    found = make_can_reading([{"powder_weight": "1 lb", "welded_length": 2.0}], Units(sizes="inch"))
    assert found == CanReading(powder_weight=453.59237, welded_length=50.8)
    assert make_can_reading([{"bite": 20}]) is None
    assert make_readings([{"powder_weight": 400}]) == ()


def test_an_ellipse_holds_four_draws_of_five():
    """Of a normal law in two directions, 80 % lie within sqrt(-2 ln 0.2) deviations: counted here."""
    rng = np.random.default_rng(1)
    moved = rng.multivariate_normal([0, 0], [[4.0, 1.2], [1.2, 1.0]], size=20000)
    (ellipse,) = ellipses_of(np.array([[50.0, 20.0]]), moved[:, None, :])
    assert ellipse.holds(np.array([50.0, 20.0]) + moved).mean() == pytest.approx(0.8, abs=0.01)
    assert ellipse.turn == pytest.approx(np.degrees(np.arctan2(2 * 1.2, 4.0 - 1.0) / 2), abs=1)
