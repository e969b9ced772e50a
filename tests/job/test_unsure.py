"""What is not held exactly."""

from __future__ import annotations

import numpy as np
import pytest

from preview.forge.wander import Wander
from preview.job.file import load_job
from preview.job.unsure import Unsure
from tests.conftest import DEMOS


@pytest.mark.parametrize("size", [0.3, 1.0])
def test_wander_keeps_area(size):
    """Determinant of the moved points by central differences: 1 to 1e-6; and it is as large as stated."""
    rng = np.random.default_rng(1)
    wander = Wander.of(size, 30.0, rng)
    weights = rng.standard_normal(wander.count)
    x, y = rng.uniform(-90, 90, (2, 500))
    h = 1e-3
    columns = []
    for dx, dy in ((h, 0), (0, h)):
        ahead, behind = wander.moved(weights, x + dx, y + dy), wander.moved(weights, x - dx, y - dy)
        columns.append([(a - b) / (2 * h) for a, b in zip(ahead, behind, strict=True)])
    (xx, yx), (xy, yy) = columns
    assert np.abs(xx * yy - xy * yx - 1).max() < 1e-6
    moves = []
    for _ in range(200):
        moved = wander.moved(0.1 * rng.standard_normal(wander.count), x[:60], y[:60])
        moves += [moved[0] - x[:60], moved[1] - y[:60]]
    assert np.sqrt(np.mean(np.square(moves))) == pytest.approx(0.1 * size, rel=0.1)


def test_wander_undone_is_the_point_again():
    wander = Wander.of(0.5, 25.0, np.random.default_rng(2))
    weights = np.linspace(-1, 1, wander.count)
    x, y = np.linspace(-50, 50, 40), np.linspace(-10, 20, 40)
    back = wander.moved(-weights, *wander.moved(weights, x, y))
    np.testing.assert_allclose(back, (x, y), atol=1e-9)


def test_job_file_keeps_what_is_unsure():
    job = load_job(DEMOS / "plain_start.toml")
    assert job.unsure == Unsure()
