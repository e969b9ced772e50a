from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from scipy.spatial import cKDTree

from preview.blade.outline import Outline, OutlineName

SHAPES = get_args(OutlineName)


@pytest.mark.parametrize("shape", SHAPES)
def test_curves_meet_at_the_tip_and_nowhere_else(shape):
    outline = Outline(shape=shape, length=150, height=32)
    along = np.linspace(0, 150, 400)
    assert outline.edge(along)[0] == 0
    assert outline.spine(along)[0] == 32
    assert outline.edge(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert outline.spine(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert (outline.spine(along)[:-1] > outline.edge(along)[:-1]).all()


@pytest.mark.parametrize("shape", SHAPES)
def test_distance_to_the_edge_against_a_nearest_neighbour_search(shape):
    """The edge as 400 000 points in scipy's k-d tree is the independent answer."""
    outline = Outline(shape=shape, length=150, height=32, belly=60)
    rng = np.random.default_rng(2)
    along, across = rng.random(3000) * 150, rng.random(3000) * 32
    inside = outline.contains(along, across)
    along, across = along[inside], across[inside]
    u = np.linspace(0, 150, 400_001)
    nearest, _ = cKDTree(np.stack([u, outline.edge(u)], axis=1)).query(np.stack([along, across], axis=1))
    np.testing.assert_allclose(outline.edge_distance(along, across), nearest, atol=2e-4)


def test_straight_edge_is_plain_height():
    outline = Outline(shape="sheepsfoot", length=150, height=32)
    assert outline.edge_distance(np.array([20.0, 90.0]), np.array([7.0, 31.0])) == pytest.approx([7.0, 31.0])
