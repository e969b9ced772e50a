"""The strip of a sharpened edge against hand-worked widths."""

from __future__ import annotations

import numpy as np
import pytest

from preview.blade.sharpening import sharpening_notes, strip_of


def strip(make, side="right", along=50.0, **grind):
    job = make(
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind=grind,
    )  # fmt: skip
    return job.ground, float(strip_of(job.ground, side, np.array([along])).width[0])


@pytest.mark.parametrize(
    ("edge", "bevel", "width"), [(0.3, 0.01, 0.56), (0.5, 0.01, 0.93), (0.3, 3.43, 0.72), (0.5, 3.43, 1.20)]
)
def test_width_at_fifteen_degrees(make, edge, bevel, width):
    """(edge / 2) / (tan 15 - tan bevel): 0.15 / 0.2679 = 0.56; 0.25 / 0.2679 = 0.93; less 0.0599: 0.72, 1.20."""
    right = {"hold": "angle", "angle": bevel}
    assert strip(make, edge=edge, edge_angle=15, right=right)[1] == pytest.approx(width, abs=0.006)


def test_a_single_bevel_is_sharpened_on_one_side(make):
    """All of the edge is taken off the bevel: 0.3 / (tan 20 - tan 5) = 0.3 / 0.2765 = 1.085; the flat face has none."""
    grind = {"edge": 0.3, "edge_angle": 20, "right": {"hold": "angle", "angle": 5}, "left": {"kind": "none"}}
    assert strip(make, **grind)[1] == pytest.approx(1.085, abs=0.005)
    assert np.isnan(strip(make, "left", **grind)[1])


def test_as_steep_a_bevel_leaves_none_and_says_so(make):
    ground, width = strip(make, edge=0.5, edge_angle=15, right={"hold": "angle", "angle": 15})
    assert np.isnan(width)
    assert "no strip of a sharpened edge shows" in str(sharpening_notes(ground)[0])
    assert not sharpening_notes(strip(make, edge=0.5, right={"hold": "angle", "angle": 5})[0])


def test_the_ricasso_is_not_sharpened(make):
    grind = {"edge": 0.5, "heel_flat": 10, "plunge": 4, "right": {"hold": "angle", "angle": 4}}
    assert np.isnan(strip(make, along=5, **grind)[1])
    assert np.isnan(strip(make, along=12, **grind)[1])
    assert strip(make, along=15, **grind)[1] > 0.5
