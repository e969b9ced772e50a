"""An edge sharpened back: the new edge and its strip against hand-worked numbers."""

from __future__ import annotations

import numpy as np
import pytest

from preview.blade.sharpening import strip_of
from preview.blade.wear import Wear

MIDDLE = np.array([50.0])


def ground(make, **grind):
    return make(
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"edge": 0.3, "edge_angle": 15, **grind},
    ).ground  # fmt: skip


@pytest.mark.parametrize(
    ("back", "edge", "width"),
    [
        (0, 0.3, 0.629),  # 0.15 / (0.26795 - 0.02933)
        (5, 0.593, 1.243),  # 0.3 + 2 5 tan 1.68 = 0.3 + 10 0.02933; 0.2967 / 0.23862
        (10, 0.887, 1.858),  # 0.3 + 20 0.02933 = 0.8866; 0.4433 / 0.23862
    ],
)
def test_the_edge_moves_up_into_thicker_steel(make, back, edge, width):
    blade = ground(make, right={"hold": "angle", "angle": 1.68})
    for side in ("right", "left"):
        strip = strip_of(blade, side, MIDDLE, back)
        assert 2 * float(strip.off[0]) == pytest.approx(edge, abs=0.001)
        assert float(strip.width[0]) == pytest.approx(width, abs=0.003)
        assert float(strip.middle[0]) == pytest.approx(0, abs=1e-9)


def test_over_a_low_bevel_the_strip_ends_on_the_flat(make):
    """Bevel 8 mm high from 0.15 to 2.5: worn 8 mm, the edge is 5 thick, the strip 2.5 / tan 15 = 9.33 wide."""
    blade = ground(make, right={"height": 8})
    assert float(strip_of(blade, "right", MIDDLE, 8.0).width[0]) == pytest.approx(9.33, abs=0.01)
    # worn 4 mm the edge is 2.65 thick; the bevel is steeper than the stones, which meet the flat 2.5 / tan 15 up
    assert float(strip_of(blade, "right", MIDDLE, 4.0).width[0]) == pytest.approx(9.33, abs=0.01)


def test_a_single_bevel_takes_it_all(make):
    """0.3 + 5 tan 5 = 0.737 thick; 0.737 / (tan 20 - tan 5) = 0.737 / 0.2765 = 2.667."""
    blade = ground(make, edge_angle=20, right={"hold": "angle", "angle": 5}, left={"kind": "none"})
    strip = strip_of(blade, "right", MIDDLE, 5.0)
    assert float(strip.off[0]) == pytest.approx(0.737, abs=0.001)
    assert float(strip.width[0]) == pytest.approx(2.667, abs=0.005)


def test_the_stones_do_not_reach_the_ricasso(make):
    blade = ground(make, heel_flat=10, plunge=4)
    back = Wear.of(blade, 5.0).at(np.array([0.0, 10.0, 12.0, 14.0, 80.0]))
    assert back == pytest.approx([0, 0, 2.5, 5, 5])
    assert Wear.of(ground(make), 5.0).at(np.array([0.0, 99.0])) == pytest.approx([5, 5])
