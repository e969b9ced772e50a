"""A forge over many blades, against brute force, limits, and made-up forges whose blades scatter."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.forge.fitting import FLOW_SPREAD_ERROR
from preview.job.calibration import PRIOR_SPREAD_ERROR, Calibration
from preview.log.over_blades import SCATTER, forge_over, next_one

PRIOR = (1.0, PRIOR_SPREAD_ERROR)


def fitted(told, error, common=0.0):
    """What a fit gives that starts from the prior and whose readings alone tell so much."""
    precision = 1 / error**2 + 1 / PRIOR[1] ** 2
    return (told / error**2 + PRIOR[0] / PRIOR[1] ** 2) / precision, np.sqrt(1 / precision + common**2)


def test_against_a_sum_over_mean_and_scatter():
    told, error = np.array([1.05, 1.2, 1.12]), np.array([0.05, 0.08, 0.06])
    values, errors = np.array([fitted(*each) for each in zip(told, error, strict=True)]).T
    found = next_one(values, errors, PRIOR, 0.0)
    mean, scatter = np.meshgrid(np.linspace(0.4, 1.6, 1201), np.linspace(0, 0.3, 601))
    log = -0.5 * np.square((mean - 1) / PRIOR[1]) - 0.5 * np.square(scatter / (SCATTER * PRIOR[1]))
    for y, s in zip(told, error, strict=True):
        log -= 0.5 * np.square(y - mean) / (s**2 + scatter**2) + 0.5 * np.log(s**2 + scatter**2)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    middle = (weight * mean).sum()
    assert found[0] == pytest.approx(middle, abs=1e-3)
    assert found[1] == pytest.approx(
        np.sqrt((weight * (np.square(mean - middle) + np.square(scatter))).sum()), abs=1e-3
    )


def test_limits():
    none = np.zeros(0)
    middle, error = next_one(none, none, PRIOR, 0.03)
    assert middle == 1
    assert error == pytest.approx(np.sqrt(0.12**2 + 0.06**2 + 0.03**2), rel=0.01)  # forges apart, blades apart, the law
    alike = next_one(*np.array([fitted(1.1, 0.01, 0.03)] * 50).T, PRIOR, 0.03)
    assert alike[0] == pytest.approx(1.1, abs=0.002)
    assert alike[1] == pytest.approx(0.03, abs=0.002)  # what the law is off is in all of them
    assert next_one(np.array([1.0]), np.array([0.12]), PRIOR, 0.0)[0] == pytest.approx(1)


def test_the_next_blade_is_held_as_often_as_is_said():
    """400 forges whose blades scatter by the prior's own law; one blade alone, taken for the forge, is too sure."""
    rng, held, alone = np.random.default_rng(5), [], []
    for _ in range(400):
        own, scatter = rng.normal(1, 0.12), abs(rng.normal(0, SCATTER * 0.12))
        truth = rng.normal(own, scatter, 6)
        values, errors = np.array([fitted(rng.normal(each, 0.04), 0.04) for each in truth[:5]]).T
        middle, error = next_one(values, errors, PRIOR, 0.0)
        held.append(abs(truth[5] - middle) < 1.2816 * error)
        alone.append(abs(truth[5] - values[-1]) < 1.2816 * errors[-1])
    assert np.mean(held) == pytest.approx(0.8, abs=0.05)
    assert np.mean(alone) < 0.7


def test_a_whole_calibration():
    first = Calibration(
        rows=4, spread_factor=1.1, spread_factor_error=0.06, bright=70, bright_error=1, dark=20, dark_error=1
    )
    second = first.model_copy(update={"date": "2026-03-21", "bright": 76.0, "dark": 24.0, "spread_factor": 1.14})
    found = forge_over([first, second])
    assert (found.date, found.rows) == ("2026-03-21", 8)
    assert (found.bright, found.dark) == (73, 22)
    assert found.bright_error == pytest.approx(np.sqrt(18))
    assert 1.08 < found.spread_factor < 1.14
    assert FLOW_SPREAD_ERROR < found.spread_factor_error < PRIOR_SPREAD_ERROR
    with pytest.raises(RequestError, match="nothing was learnt"):
        forge_over([Calibration()])
    with pytest.raises(RequestError, match="nothing was learnt"):
        forge_over([])
