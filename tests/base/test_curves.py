"""Smooth curves through points, against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator, make_interp_spline

from preview.base.curves import monotone, refined


@pytest.mark.parametrize(("count", "fine"), [(4, 4), (4, 9), (5, 17), (60, 233), (9, 6)])
def test_splines_are_those_of_scipy(count: int, fine: int) -> None:
    values = np.random.default_rng(count).standard_normal((count, 3))
    expected = make_interp_spline(np.linspace(0, 1, count), values, k=3)(np.linspace(0, 1, fine))  # not-a-knot
    np.testing.assert_allclose(refined(values, fine), expected, atol=1e-12)


def test_a_cubic_is_its_own_spline() -> None:
    x = np.linspace(-1, 2, 7)[:, None]
    fine = np.linspace(-1, 2, 40)[:, None]
    np.testing.assert_allclose(refined(x**3 - x, 40), fine**3 - fine, atol=1e-13)


@pytest.mark.parametrize("seed", range(20))
def test_monotone_curves_are_those_of_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.1, 2, 3 + seed % 5))
    y = rng.integers(-2, 3, x.size)  # level stretches, turns and steep ends among them
    at = np.linspace(x[0], x[-1], 50)
    np.testing.assert_allclose(monotone(x, y, at), PchipInterpolator(x, y)(at), atol=1e-12)
