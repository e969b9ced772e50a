"""Whole pictures against the calibrated tones, colour-science, and WCAG's contrast."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from scipy.ndimage import binary_erosion

from preview.base.pictures import linear_luminance
from preview.look.etch import lightness_of
from preview.look.metals import WEIGHTS
from preview.pipeline import preview

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.0},
    {"name": "bright", "colours": ["white"], "nickel": 60.0},
]


@pytest.fixture
def halves(make):
    """Return a maker of jobs whose blade is dark at the heel and bright at the tip; ``light`` and ``etch`` vary."""

    def halves(light, **etch):
        return make(
            powders=POWDERS, etch={"minutes": 600, **etch}, light=light, forging=[{"step": "consolidate"}],
            can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
            blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        )  # fmt: skip

    return halves


def zones(shown):
    """Return the linear luminance of the dark and of the bright steel, away from rims, of the right face."""
    view = shown.view("right")
    light = linear_luminance(shown.pictures[0])[view.inside]
    inner = binary_erosion(view.grid.mask, iterations=12)
    along = np.broadcast_to(view.grid.along, inner.shape)
    return light[inner & (along < 45)], light[inner & (along > 55) & (along < 80)]


@pytest.mark.parametrize("finish", ["satin", "polished"])
@pytest.mark.parametrize("tint", ["blue-black", "coffee", "none"])
def test_an_even_studio_shows_both_steels_at_their_lightness(halves, finish, tint):
    """Within 0.5 of L*, CIE 15:2018, whatever the finish and the colour of the oxide."""
    job = halves({"studio": "even", "finish": finish, "tilt": 10}, bright=75, dark=30, tint=tint)
    dark, bright = zones(preview(job, px_per_mm=4))
    assert lightness_of(dark.mean()) == pytest.approx(30, abs=0.5)
    assert lightness_of(bright.mean()) == pytest.approx(75, abs=0.5)


def test_a_grey_card_against_colour_science(halves):
    """Steel that sends back 18 per cent (L* 49.496) is the grey that colour-science has for it."""
    job = halves({"studio": "even"}, bright=49.496, dark=20)
    shown = preview(job, px_per_mm=4)
    bright = zones(shown)[1]
    expected = 255 * float(colour.models.eotf_inverse_sRGB(0.18))
    assert 255 * float(colour.models.eotf_inverse_sRGB(bright.mean())) == pytest.approx(expected, abs=1)
    assert lightness_of(bright.mean()) == pytest.approx(float(colour.colorimetry.lightness_CIE1976(18)), abs=0.5)


@pytest.mark.parametrize("light", [{}, {"tilt": 8}, {"turn": 8}, {"finish": "polished", "tilt": 8}, {"studio": "even"}])
def test_neither_steel_melts_into_the_ground(halves, light):
    """Contrast (lighter + 0.05) / (darker + 0.05), WCAG 2.2: at least 1.5 for both against the ground beside them.

    A polish mirrors the room: held square to the camera its bevels are as dark as that is, tilted they flash.
    """
    shown = preview(halves(light), px_per_mm=4)
    dark, bright = zones(shown)
    view = shown.view("right")
    ground = linear_luminance(shown.pictures[0])[: view.rim[0][0] - 8].mean()
    assert (ground + 0.05) / (np.median(dark) + 0.05) > 1.5
    assert (np.median(bright) + 0.05) / (ground + 0.05) > 1.5


def test_bright_steel_is_warm_and_the_etched_dark_blue_or_brown(halves):
    for tint, bluer in (("blue-black", True), ("coffee", False)):
        shown = preview(halves({}, tint=tint), px_per_mm=2)
        rows = shown.pictures[0][shown.view("right").inside][30:50].astype(float)
        dark, bright = rows[:, 20:80].mean(axis=(0, 1)), rows[:, 120:150].mean(axis=(0, 1))
        assert bright[0] > bright[2]
        assert (dark[2] > dark[0]) == bluer
    assert WEIGHTS.sum() == pytest.approx(1)


def test_the_sharpened_edge_is_as_wide_as_it_will_be(make):
    """Edge 0.8, bevel 3 degrees, sharpened at 15: 0.4 / (tan 15 - tan 3) = 1.856 mm, bare of the etch's dark."""
    job = make(
        np.zeros((20, 50), dtype=bool), powders=POWDERS, etch={"minutes": 600}, light={"studio": "even"},
        forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"edge": 0.8, "edge_angle": 15, "right": {"hold": "angle", "angle": 3}},
    )  # fmt: skip
    shown = preview(job, px_per_mm=10)
    for side in ("right", "left"):
        view = shown.view(side)
        column = linear_luminance(shown.picture_of(side))[view.inside][:, 500]
        assert (column[-60:] > 0.25).sum() / 10 == pytest.approx(1.856, abs=0.1)


def test_the_rim_is_unlike_all_round(make):
    """Light comes from above: the spine's eased corner is lighter than the face, the lower one darker.

    So is the ground: shaded right below the blade, hardly right over it. No published source: what a photograph shows.
    """
    job = make(
        np.zeros((20, 50), dtype=bool), powders=POWDERS, etch={"minutes": 600}, forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 60, "height": 24, "ricasso": 40}},
    )  # fmt: skip
    shown = preview(job, px_per_mm=20)
    view = shown.view("right")
    light = linear_luminance(shown.picture_of("right"))
    up, down = view.inside[0].start, view.inside[0].stop
    column = light[:, view.inside[1]][:, 200:760].mean(axis=1)  # away from heel and plunge

    def mean(row, low, high):  # mm downwards of it
        return float(column[row + round(20 * low) : row + round(20 * high)].mean())

    face = lightness_of(np.array([mean(up, 1, 2), mean(down, -2, -1)]))
    corner = lightness_of(np.array([mean(up, 0.05, 0.25), mean(down, -0.25, -0.05)]))
    assert corner[0] - face[0] > 1.5
    assert corner[1] - face[1] < -1.5
    far = mean(up, -7, -5)
    assert mean(up, -1, -0.1) > 0.85 * far
    assert mean(down, 0.1, 1) < 0.7 * far


def test_the_two_steels_are_rubbed_unalike(halves):
    """Bright steel is streaked along the blade; the oxide over it is grained, a little cloudy, and hardly streaked."""
    shown = preview(halves({}), px_per_mm=8)
    face = linear_luminance(shown.pictures[0])[shown.view("right").inside]
    dark, bright = (lightness_of(face[20:100, columns]) for columns in (slice(80, 320), slice(440, 640)))

    def streaks(steel):
        small = steel.reshape(20, 4, -1, 4).mean(axis=(1, 3))  # as it is seen from farther off
        along, across = (np.abs(np.diff(small, axis=axis)).mean() for axis in (1, 0))
        return across / along

    assert streaks(bright) > 2.5 > 1.3 > streaks(dark)
    assert 1 < np.diff(np.percentile(dark, [2, 98]))[0] < 8
