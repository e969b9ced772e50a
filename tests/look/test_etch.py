"""Tone against colour-science, and against values worked out by hand."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from preview.look.etch import Etch, lightness_of, luminance

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour


def test_lightness_against_colour_science():
    """CIE 1976 L*; Y = 12.19722535 % gives 41.5278758 there."""
    y = np.linspace(0.0005, 1, 300)
    np.testing.assert_allclose(lightness_of(y), colour.lightness(100 * y, method="CIE 1976"), atol=1e-9)
    np.testing.assert_allclose(luminance(lightness_of(y)), y, atol=1e-12)
    assert float(lightness_of(0.1219722535)) == pytest.approx(41.5278758, abs=1e-6)


def test_contrast_of_two_tones():
    """Y 0.40 against 0.10: 31.627 in L*."""
    assert float(lightness_of(0.4) - lightness_of(0.1)) == pytest.approx(31.627, abs=1e-3)


def test_etch_limits_and_half_point():
    etch = Etch(half_point=1.5, minutes=1e5)
    assert float(etch.resistance(1.5)) == pytest.approx(0.5)
    assert float(etch.lightness(0.0)) == pytest.approx(etch.dark)
    assert float(etch.lightness(60.0)) == pytest.approx(etch.bright, abs=1e-6)
    assert float(etch.depth(0.0)) == pytest.approx(etch.relief)
    unetched = Etch(minutes=0)
    assert float(unetched.lightness(0.0)) == unetched.bright
    assert float(unetched.depth(0.0)) == 0


def test_a_dark_finish_lowers_the_dark_end_only():
    plain, coffee = Etch(minutes=1e5), Etch(minutes=1e5, dark_finish=14)
    assert float(coffee.lightness(0.0)) == pytest.approx(14)
    assert float(coffee.lightness(60.0)) == pytest.approx(float(plain.lightness(60.0)), abs=1e-6)
    lighter = Etch(minutes=1e5, dark_finish=60)
    assert float(lighter.lightness(0.0)) == pytest.approx(float(plain.lightness(0.0)))
