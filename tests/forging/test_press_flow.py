"""The closed flow law against an independent finite-element computation; see `support.viscoplastic`."""

from __future__ import annotations

import numpy as np
import pytest

from preview.forging.press_flow import Pass
from tests.support.viscoplastic import Pressing

HEIGHT, WIDTH = 20.0, 40.0


def misfit(friction: float, reduction: float, steps: int) -> tuple[float, float]:
    """Return rms distance of finite-element markers from the law's, with and without its bulge, % of h1."""
    share = np.linspace(0.04, 0.96, 13)
    y, z = (each.ravel() for each in np.meshgrid(share * WIDTH / 2, share * HEIGHT / 2))
    elements = Pressing(WIDTH / 2, HEIGHT / 2, spread=0.5, friction=friction)
    found = elements.press(np.stack([y, z]), -np.log(1 - reduction), steps)
    final = HEIGHT * (1 - reduction)
    distances = []
    for factor in (friction, 0.0):
        law = Pass(HEIGHT, final, WIDTH, 0.5, factor).forward(y, z)
        distances.append(float(np.sqrt(np.mean((found[0] - law[0]) ** 2 + (found[1] - law[1]) ** 2))) / final * 100)
    return distances[0], distances[1]


def test_without_friction_both_are_the_homogeneous_flow():
    with_law, plain = misfit(0.0, 0.3, 6)
    assert with_law == plain <= 0.1


def test_thirty_per_cent():
    with_law, plain = misfit(0.5, 0.3, 6)
    assert with_law <= 2.0
    assert with_law < plain / 3


@pytest.mark.slow
def test_fifty_per_cent():
    with_law, plain = misfit(0.5, 0.5, 12)
    assert with_law <= 4.0
    assert with_law < plain / 3
