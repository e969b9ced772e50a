"""Marks on an etched section or face."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.forge.marks import fit_marks, photo_to_mm
from preview.forging.steps import Press

TABLES = {
    "can": {"length": 60, "width": 30, "height": 44, "wall": 0},
    "forging": [{"step": "consolidate"}, {"step": "press", "height": 12, "bite": 20, "repeat": 2}],
    "blade": {"thickness": 8, "outline": {"length": 90, "height": 30}},
}


def truth(job, factor, friction):
    steps = tuple(
        step.model_copy(update={"spread_factor": factor, "friction": friction}) if isinstance(step, Press) else step
        for step in job.forging
    )
    return job.model_copy(update={"forging": steps}).history


def test_marks_give_spread_friction_and_place_back(make):
    job = make(**TABLES)
    across, up = (each.ravel() for each in np.meshgrid(np.linspace(-12, 12, 7), np.linspace(-18, 18, 5)))
    laid = np.stack([across, up], axis=1)
    seen = truth(job, 1.08, 0.45).can_to_bar(np.column_stack([np.zeros(35), laid]))[:, 1:]
    turned = seen @ np.array([[np.cos(0.1), np.sin(0.1)], [-np.sin(0.1), np.cos(0.1)]]) + (40, 7)
    noisy = turned + np.random.default_rng(1).normal(0, 0.1, turned.shape)
    found, misfit = fit_marks(job.history, laid, noisy)
    assert found.spread_factor == pytest.approx(1.08, abs=3 * found.spread_factor_error)
    assert found.friction == pytest.approx(0.45, abs=3 * found.friction_error)
    assert found.spread_factor_error < 0.02
    assert 0.06 <= found.friction_error < 0.1  # the flow law itself is no better known
    assert misfit == pytest.approx(0.1 * np.sqrt(2), rel=0.25)


@pytest.mark.parametrize("count", [2, 5])
def test_photo_points_become_millimetres(count):
    """A photo 12 px to the mm, y down, turned by 20 degrees; five points also take a slant."""
    rng = np.random.default_rng(2)
    mm = rng.uniform(-10, 10, (30, 2))
    turn = np.array([[np.cos(0.35), -np.sin(0.35)], [np.sin(0.35), np.cos(0.35)]])
    px = (mm @ turn.T * 12) * (1, -1) + (400, 300)
    if count == 5:
        px = px / (1 + 2e-4 * px[:, :1])
    ruled = np.column_stack([px[:count], mm[:count]])
    np.testing.assert_allclose(photo_to_mm(px, ruled), mm, atol=1e-6)
    with pytest.raises(RequestError, match="two points"):
        photo_to_mm(px, ruled[:1])
