"""Light against colour-science, and against values worked out by hand."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from preview.look.light import OXIDE_SHEEN, Light, lean, shade, srgb, to_grey, ward_lobe
from preview.pipeline import preview

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


def lobe(slope_x, slope_y, to_light=(0.0, 0.0, 1.0)):
    slopes = np.array([slope_x]), np.array([slope_y])
    return float(ward_lobe(*slopes, *lean(*slopes, to_light), to_light, (0.1, 0.3))[0])


def test_ward_lobe():
    """Ward 1992, alpha 0.1 and 0.3: 2.65258 head on; x 0.0446402 and 0.707896 for a half vector 10 degrees off."""
    assert lobe(0.0, 0.0) == pytest.approx(2.65258, abs=1e-5)
    tilt = np.radians(20)  # light 20 degrees off puts the half vector 10 degrees off
    fall = 1 / np.sqrt(np.cos(tilt))
    assert lobe(0.0, 0.0, (np.sin(tilt), 0.0, np.cos(tilt))) == pytest.approx(2.65258 * 0.0446402 * fall, rel=1e-4)
    assert lobe(0.0, 0.0, (0.0, np.sin(tilt), np.cos(tilt))) == pytest.approx(2.65258 * 0.707896 * fall, rel=1e-4)


def test_ward_lobe_against_its_textbook_form_on_tilted_ground():
    rng = np.random.default_rng(4)
    for _ in range(50):
        p, q = rng.uniform(-0.6, 0.6, 2)
        light = rng.normal(size=3)
        light[2] = abs(light[2]) + 0.6
        light /= np.linalg.norm(light)
        normal = np.array([-p, -q, 1.0]) / np.sqrt(1 + p * p + q * q)
        if normal @ light < 0.05:
            continue
        half = light + np.array([0, 0, 1])
        half /= np.linalg.norm(half)
        x = np.array([1, 0, p]) / np.hypot(1, p)
        y = np.cross(normal, x)
        fall = ((half @ x / 0.1) ** 2 + (half @ y / 0.3) ** 2) / (half @ normal) ** 2
        expected = np.exp(-fall) / (4 * np.pi * 0.1 * 0.3 * np.sqrt((normal @ light) * normal[2]))
        assert lobe(p, q, tuple(light)) == pytest.approx(expected, rel=1e-9)


def test_matt_plane_follows_lamberts_law():
    """Without sheen, a plane tilted by the slope q towards the light is cos(i) brighter; square on it shows its Y."""
    light = Light(azimuth=90, elevation=60, ambient=0.0)
    flat = np.zeros((1, 3))
    y = np.full((1, 3), 0.2)
    assert shade(flat, flat, y, flat - OXIDE_SHEEN / (1 - OXIDE_SHEEN), light)[0, 0] == pytest.approx(0.2, abs=1e-12)
    q = np.tan(np.radians([[10.0, 20.0, 30.0]]))
    lit = shade(flat, -q, y, flat - OXIDE_SHEEN / (1 - OXIDE_SHEEN), light)[0]
    assert lit == pytest.approx(0.2 * np.cos(np.radians([20, 10, 0])) / np.cos(np.radians(30)))


def test_a_face_turned_to_the_light_is_brighter(make):
    """Light from above: the bevel, which looks down, is darker than the flat. From below it is brighter."""

    def bevel_less_flat(azimuth):
        job = make(
            np.zeros((20, 50), dtype=bool),
            grind={"right": {"height": 16}},
            light={"azimuth": azimuth},
        )
        shown = preview(job, px_per_mm=4)
        rows = shown.pictures[0].astype(float)
        height = rows.shape[0]
        middle = rows[:, 200:300].mean(axis=1)
        bevel = middle[height - ((8 + 8) * 4)]
        flat = middle[((8 + 6) * 4)]
        return bevel - flat

    assert bevel_less_flat(90) < -1
    assert bevel_less_flat(270) > 1


@pytest.mark.parametrize(("finish", "sheen"), [("satin", 0.5066), ("polished", 1.8651)])
def test_sheen_of_the_finishes(finish, sheen):
    """Light and viewer square on: strength / (4 pi a b) of Ward's lobe, of which the oxide shows a tenth (by eye)."""
    light = Light(elevation=90, ambient=1.0, finish=finish)
    flat = np.zeros((1, 1))
    assert shade(flat, flat, flat, flat + 1, light)[0, 0] == pytest.approx(sheen, abs=1e-4)
    assert shade(flat, flat, flat, flat, light)[0, 0] == pytest.approx(sheen / 10, abs=1e-4)
