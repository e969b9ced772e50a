from __future__ import annotations

import pytest

from preview.forging.scale import scale_loss


@pytest.mark.parametrize(
    ("temperature", "minutes", "depth"),
    [(1000, 5, 0.081), (1000, 60, 0.280), (1100, 30, 0.354), (1150, 10, 0.265), (1200, 60, 0.829)],
)
def test_scale_loss(temperature, minutes, depth):
    """Worked by hand from kp = 6.1 exp(-169452/RT) cm2/s and 1.77 (Chen & Yuen 2003, from memory)."""
    assert scale_loss(temperature, minutes) == pytest.approx(depth, abs=6e-4)
