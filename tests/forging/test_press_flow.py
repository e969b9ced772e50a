"""The closed flow law against an independent finite-element computation; see `support.viscoplastic`."""

from __future__ import annotations

import numpy as np
import pytest

from preview.forging.press_flow import Pass
from tests.support.viscoplastic import Pressing

HEIGHT, WIDTH = 20.0, 40.0


SHARE = np.linspace(0.04, 0.96, 13)
Y, Z = (each.ravel() for each in np.meshgrid(SHARE * WIDTH / 2, SHARE * HEIGHT / 2))


def misfit(found: np.ndarray, friction: float, reduction: float) -> tuple[float, float]:
    """Return rms distance of finite-element markers from the law's, with and without its bulge, % of h1."""
    final = HEIGHT * (1 - reduction)
    distances = []
    for factor in (friction, 0.0):
        law = Pass(HEIGHT, final, WIDTH, 0.5, factor).forward(Y, Z)
        distances.append(float(np.sqrt(np.mean((found[0] - law[0]) ** 2 + (found[1] - law[1]) ** 2))) / final * 100)
    return distances[0], distances[1]


@pytest.fixture(scope="module")
def pressed():
    """Markers of one pressing with friction, at 30 and then at 50 per cent."""
    elements = Pressing(WIDTH / 2, HEIGHT / 2, spread=0.5, friction=0.5, columns=12, rows=8)
    thirty = elements.press(np.stack([Y, Z]), -np.log(0.7), 6)
    return {0.3: thirty, 0.5: elements.press(thirty, np.log(0.7 / 0.5), 6)}


def test_without_friction_both_are_the_homogeneous_flow():
    elements = Pressing(WIDTH / 2, HEIGHT / 2, spread=0.5, friction=0.0, columns=4, rows=3)  # any mesh holds it exactly
    with_law, plain = misfit(elements.press(np.stack([Y, Z]), -np.log(0.7), 6), 0.0, 0.3)
    assert with_law == plain <= 0.1


@pytest.mark.parametrize(("reduction", "most"), [(0.3, 2.0), (0.5, 4.0)])
def test_with_friction(pressed, reduction, most):
    with_law, plain = misfit(pressed[reduction], 0.5, reduction)
    assert with_law <= most
    assert with_law < plain / 3
