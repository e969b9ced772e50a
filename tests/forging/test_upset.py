"""Upsetting, against numbers worked by hand from the constancy of volume."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC, Units
from preview.forging.bar import Bar
from preview.forging.steps.press import Press
from preview.forging.steps.upset import Upset

BAR = Bar(81.0, 20.0, 30.0)


@pytest.mark.parametrize(
    ("share", "width", "thickness"),
    [(0.5, 30.0, 45.0), (1.0, 45.0, 30.0), (0.0, 20.0, 67.5), (0.25, 24.4948974, 55.1135192)],
)
def test_sizes_by_hand(share, width, thickness):
    """81 to 36 mm is 2.25 times shorter, 1.5 squared; a quarter of its strain is the root of 1.5."""
    after = Upset(length=36, share=share).after(BAR)
    assert after.size == pytest.approx((36.0, width, thickness))
    assert after.volume == pytest.approx(81 * 20 * 30, rel=1e-12)


def test_a_point_by_hand():
    """Two thirds up the half length stays there; the section grows by half each way."""
    moved = Upset(length=36).push_forward(np.array([27.0, -4.0, 10.0]), BAR)
    np.testing.assert_allclose(moved, [12.0, -6.0, 15.0], atol=1e-12)


def test_it_undoes_a_press_that_only_draws_out():
    """Pressed to half the thickness without friction or spread it is twice as long; upset back it is the old one."""
    press = Press(height=15, spread=0, friction=0)
    drawn = press.after(BAR)
    back = Upset(length=81, share=0)
    assert back.after(drawn).size == pytest.approx(BAR.size)
    points = np.array([[10.0, 5.0, 7.0], [-30.0, -9.0, 12.0]])
    np.testing.assert_allclose(back.push_forward(press.push_forward(points, BAR), drawn), points, atol=1e-12)


def test_a_slender_bar_is_warned_of():
    (note,) = Upset(length=60).notes(BAR)
    assert "81 mm long and only 20 mm" in str(note)
    assert "3.189 in long" in note.told(Units(sizes="inch"))
    assert not Upset(length=40).notes(Bar(60.0, 20.0, 30.0))
    assert Upset(length=40).words(METRIC) == "Press on its end to a length of 40 mm"
