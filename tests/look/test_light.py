"""Light against colour-science, and against values worked out by hand."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from preview.look.light import BOX, SHOULDER, Light, held_back, srgb, to_grey

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour


def test_srgb_against_colour_science():
    linear = np.linspace(0, 1, 500)
    np.testing.assert_allclose(srgb(linear), colour.models.eotf_inverse_sRGB(linear), atol=1e-7)
    assert float(srgb(np.array(0.18))) == pytest.approx(0.4613561, abs=1e-7)


@pytest.mark.parametrize(("y", "byte"), [(0.05, 63), (0.10, 89), (0.18, 118), (0.20, 124), (0.40, 170), (0.56, 197)])
def test_eight_bit_greys(y, byte):
    assert int(to_grey(np.full((1, 1), y, dtype=np.float32))[0, 0]) == pytest.approx(byte, abs=1)


def test_light_is_true_up_to_the_shoulder_and_never_burns_out():
    below = np.linspace(0, SHOULDER, 50)
    np.testing.assert_array_equal(held_back(below), below)
    above = held_back(np.linspace(SHOULDER, 3, 200))
    assert (np.diff(above) > 0).all()
    assert above[-1] < 1
    assert held_back(SHOULDER + 1e-6) == pytest.approx(SHOULDER + 1e-6, abs=1e-9)  # no kink


def direction(azimuth: float, elevation: float) -> np.ndarray:
    azimuth, elevation = np.radians([azimuth, elevation])
    return np.array([np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)])


@pytest.mark.parametrize("where", [BOX, (0.0, 30.0), (105.0, 40.0), (270.0, 80.0), (180.0, 5.0)])
def test_the_box_stands_where_it_is_asked_for(where):
    turn = Light(azimuth=where[0], elevation=where[1]).to_studio
    np.testing.assert_allclose(turn @ direction(*where), direction(*BOX), atol=1e-12)
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1)


def test_spine_and_tip_come_towards_the_viewer():
    """By 30 degrees a place 2 mm off the middle comes 1 mm nearer: the spine above, the tip right or left."""
    right, up = np.array([2.0, 0, 0]), np.array([0, 2.0, 0])
    assert (Light(tilt=30).held(mirrored=False) @ up)[2] == pytest.approx(1)
    assert (Light(turn=30).held(mirrored=False) @ right)[2] == pytest.approx(1)
    assert (Light(turn=30).held(mirrored=True) @ -right)[2] == pytest.approx(1)
