"""Time to heat through, against Carslaw & Jaeger's slab, square and cylinder, and against differences."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import j1, jn_zeros

from preview.forging.bar import Can
from preview.forging.heating import heat_through, soak

FAR = 1e6
DIFFUSIVITY = 1.5 / (0.6 * 7850 * 650)
"""m2/s of powder at 0.6 of solid: 4.90e-7."""


@pytest.mark.parametrize(("size", "fourier"), [((FAR, 40, FAR), 1.312), ((FAR, 40, 40), 0.705)])
def test_slab_and_square(size, fourier):
    """By hand, one term: (4/pi^2) ln((4/pi)/0.05) = 1.312; of two of them (2/pi^2) ln((16/pi^2)/0.05) = 0.705."""
    seconds = fourier * 0.02**2 / DIFFUSIVITY
    assert heat_through(size, 0.6, 1.5) == pytest.approx(seconds / 60, rel=1e-3)


def test_round():
    """A round bar is told as 0.600: 2 / (b J1(b)) exp(-b^2 Fo) is 5 % there, b the first zero of J0."""
    b = jn_zeros(0, 1)[0]
    assert 2 / (b * j1(b)) * np.exp(-(b**2) * 0.600) == pytest.approx(0.05, abs=2e-4)


def test_a_box_by_differences():
    """An explicit scheme on an eighth of a box of 24 x 30 x 60 mm: the middle passes 95 % when the series says."""
    half, cells = np.array([12.0, 15.0, 30.0]), 24
    step = half / cells
    cold = np.ones((cells + 2,) * 3)  # mirrored behind the middle, cold gone at the skin
    pace = 0.9 / (2 * (1 / step**2).sum())
    time = 0.0
    while cold[1, 1, 1] > 0.05:
        for axis in range(3):
            line = np.moveaxis(cold, axis, 0)
            line[0], line[-1] = line[1], -line[-2]
        inner = cold[1:-1, 1:-1, 1:-1]
        change = sum(
            (np.roll(cold, 1, axis) + np.roll(cold, -1, axis) - 2 * cold)[1:-1, 1:-1, 1:-1] / step[axis] ** 2
            for axis in range(3)
        )
        cold[1:-1, 1:-1, 1:-1] = inner + pace * change
        time += pace
    minutes = time / (DIFFUSIVITY * 1e6) / 60
    assert heat_through(tuple(2 * half), 0.6, 1.5) == pytest.approx(minutes, rel=0.01)


def test_a_soak_is_twice_as_large_squared():
    """By hand at 1.5 W/(m K): 13 min for a slab of 34 mm, 112 for one of 100; soonest and latest at 3 and 1."""
    assert heat_through((FAR, 34, FAR), 0.6, 1.5) == pytest.approx(12.9, abs=0.1)
    assert heat_through((FAR, 100, FAR), 0.6, 1.5) == pytest.approx(111.6, abs=0.5)
    found = soak(Can(length=80, width=30, height=40, wall=2))
    assert (found.latest / found.through, found.through / found.soonest) == pytest.approx((1.5, 2))
    assert soak(Can(length=160, width=60, height=80, wall=4)).through == pytest.approx(4 * found.through)
