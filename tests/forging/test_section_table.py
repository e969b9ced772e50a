"""The spline that refines a section's table."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from preview.forging.section_table import refined


@pytest.mark.parametrize("count", [6, 9, 40])
def test_refined_is_the_not_a_knot_spline(count):
    """Against scipy's."""
    values = np.cumsum(np.random.default_rng(count).standard_normal((count, 3)), axis=0)
    steps = np.linspace(0, count - 1, 4 * count - 6)
    np.testing.assert_allclose(refined(values, len(steps)), CubicSpline(np.arange(count), values)(steps), atol=1e-12)
