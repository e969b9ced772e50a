"""The palette's levels against the calibrated lightness: CIE L* by CIE 15:2018, section 8.2.1."""

from __future__ import annotations

import numpy as np
import pytest

from preview.look.etch import Etch, lightness_of, luminance
from preview.look.light import Light
from preview.look.palette import LEVELS, gone_by_level, levels_of, palette_of, usual_tone
from preview.look.still import CELLS, fully_etched

ETCHES = (Etch(), Etch(minutes=5, bright=70, dark=35), Etch(bright=85, dark=20, dark_finish=10), Etch(minutes=0))


def entries(resistance):
    """Return the entries of steel that resists so much, over all the noise that a picture adds; seen straight on."""
    noise = ((np.arange(1000) + 0.5) / 1000 - 0.5).astype(np.float32)
    root = np.full(1000, np.sqrt(usual_tone(resistance)), dtype=np.float32)
    return levels_of(root, noise) + CELLS * CELLS // 2 + CELLS // 2


@pytest.mark.parametrize("etch", ETCHES)
@pytest.mark.parametrize("nickel", [0.0, 0.5, 1.0, 2.0, 9.0])
def test_each_steel_is_as_light_as_its_nickel_says(etch, nickel):
    """In an even studio, within 0.3 of L*, whatever the etch; levels in between add up to it."""
    palette = palette_of(Light(studio="even"), etch, 5.0, mirrored=False)
    light, share = palette.light(entries(etch.resistance(nickel)))
    assert lightness_of(light.mean()) == pytest.approx(float(etch.lightness(nickel)), abs=0.3)
    gone = (luminance(etch.bright) - light.mean()) / (luminance(etch.bright) - fully_etched(etch))
    assert share.mean() == pytest.approx(np.clip(gone, 0, 1), abs=0.02)


def test_no_steel_is_next_to_black_and_the_lightest_never_burnt():
    for etch in ETCHES:
        gone = gone_by_level(etch)
        assert (np.diff(gone[1:]) <= 1e-6).all()
        left = luminance(etch.bright) - gone * (luminance(etch.bright) - fully_etched(etch))
        assert left[0] == pytest.approx(0.004, abs=1e-6)
        assert luminance(etch.bright) <= left[-1] + 1e-6 < 1
    assert levels_of(np.array([0.0, 2.0], np.float32), np.zeros(2, np.float32)).tolist() == [0, (LEVELS - 1) * CELLS**2]
