"""Tones read off made-up coupons whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import FileError, RequestError
from preview.forge.coupon import read_coupon
from tests.support.made_up import DARK_SPOT, photo


def test_even_light(tmp_path):
    tones = read_coupon(photo(tmp_path / "c.png"))
    assert tones.bright == pytest.approx(75, abs=0.5)
    assert tones.dark == pytest.approx(28, abs=0.5)
    assert tones.bright_error < 1
    assert any("No grey card" in str(note) for note in tones.notes)


def test_uneven_light_is_put_right(tmp_path):
    tones = read_coupon(photo(tmp_path / "c.png", light=lambda u, v: np.exp(0.2 * u - 0.1 * v + 0.05 * u * u)))
    assert tones.bright == pytest.approx(75, abs=1.5)
    assert tones.dark == pytest.approx(28, abs=1.5)
    assert tones.bright_error < 1.5


def test_very_uneven_light_is_refused_with_the_reason(tmp_path):
    with pytest.raises(FileError, match=r"light on the coupon varies [\d.]+ times"):
        read_coupon(photo(tmp_path / "c.png", light=lambda u, _: np.exp(0.45 * u - 0.45)))


def test_a_grey_card_sets_the_exposure(tmp_path):
    path = photo(tmp_path / "c.png", light=lambda *_: 0.6, card=True)
    boxes = {"bright": (0.45, 0.45, 0.55, 0.55), "dark": DARK_SPOT, "card": (0.02, 0.02, 0.15, 0.12)}
    tones = read_coupon(path, **boxes)
    assert tones.bright == pytest.approx(75, abs=0.7)
    # without the card the same photo reads too dark
    blind = read_coupon(path, bright=boxes["bright"], dark=boxes["dark"])
    assert blind.bright < 65


def test_one_tone_is_refused(tmp_path):
    with pytest.raises(FileError, match="too little"):
        read_coupon(photo(tmp_path / "c.png", bright=30.0, dark=29.0, noise=0.05))


@pytest.mark.parametrize("box", [(0.5, 0, 0.4, 1), (0, 0, 1, 1.5), (-0.1, 0, 1, 1)])
def test_bad_regions(tmp_path, box):
    with pytest.raises(RequestError, match="region"):
        read_coupon(photo(tmp_path / "c.png"), bright=box, dark=(0, 0, 1, 1))


def test_no_photo(tmp_path):
    with pytest.raises(FileError, match="no such file"):
        read_coupon(tmp_path / "none.png")
