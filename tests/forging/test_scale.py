from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import JobError
from preview.forging.bar import Bar, Can
from preview.forging.history import History, pull_back
from preview.forging.scale import scale_loss
from preview.forging.steps import Consolidate, ForgeBevel, Press, Taper, Trim
from preview.forging.steps.base import Heat, Step

HOT = Heat(temperature=1100, minutes=30, scale_share=1.0)
LOST = 0.354
"""Millimetres of skin that this heat takes: see `test_scale_loss`."""

CAN = Can(length=80, width=30, height=40, wall=2, fill_density=0.6)


@pytest.mark.parametrize(
    ("temperature", "minutes", "depth"),
    [(1000, 5, 0.081), (1000, 60, 0.280), (1100, 30, 0.354), (1150, 10, 0.265), (1200, 60, 0.829)],
)
def test_scale_loss(temperature, minutes, depth):
    """Worked by hand from kp = 6.1 exp(-169452/RT) cm2/s and 1.77 (Chen & Yuen 2003, from memory)."""
    assert scale_loss(temperature, minutes) == pytest.approx(depth, abs=6e-4)


def test_a_bar_is_pressed_after_its_scale_has_fallen_off():
    """By hand: 100 x 40 x 30 loses 0.354 mm a side, is 99.292 x 39.292 x 29.292, and grows longer by 29.292 / 20."""
    step = Press(height=20, spread=0, friction=0, heat=HOT)
    history = History(Bar(100.0, 40.0, 30.0), (step,))
    assert history.scale == pytest.approx([LOST], abs=6e-4)
    assert history.met[0].size == pytest.approx((99.292, 39.292, 29.292), abs=1.2e-3)
    assert history.bar.size == pytest.approx((99.292 * 29.292 / 20, 39.292, 20), abs=6e-3)
    assert history.met[0].volume == pytest.approx(history.bar.volume)


@pytest.mark.parametrize(
    ("heat", "share"),
    [
        (Heat(temperature=1100, minutes=30), 0.5),
        (Heat(temperature=1100, minutes=30, protected=True), 0),
        (Heat(temperature=1100, minutes=0), 0),
    ],
)
def test_what_the_fire_takes(heat, share):
    assert heat.scale == pytest.approx(share * LOST, abs=6e-4)
    assert Press(height=20, heat=heat).in_fire(1.5).heat.scale == pytest.approx(1.5 * share * LOST, abs=6e-4)


def seeds(history: History) -> np.ndarray:
    return (np.random.default_rng(3).random((3000, 3)) - 0.5) * np.array(history.bar.size)


def same(one: History, other: History) -> None:
    """Both carry the same metal to the same places; a trim takes bulged sides flat, so the bar's sides are left out."""
    assert one.bar.size == pytest.approx(other.bar.size, abs=1e-12)
    points = seeds(one) * (1, 0.8, 1)
    np.testing.assert_allclose(one.bar_to_can(points), other.bar_to_can(points), atol=1e-9)
    first, second = (pull_back(each)(*np.moveaxis(points, -1, 0)) for each in (one, other))
    for a, b in zip(first, second, strict=True):
        np.testing.assert_allclose(a, b, atol=0.01)  # two tables


def test_scale_on_the_can_is_a_thinner_can():
    hot = History(CAN.bar(), (Consolidate(heat=HOT), Press(height=9, friction=0.7)))
    thin = CAN.model_copy(update={"wall": CAN.wall - HOT.scale})
    same(hot, History(thin.bar(), (Consolidate(), Press(height=9, friction=0.7))))


@pytest.mark.parametrize(
    "last", [Press(height=9, friction=0.7), ForgeBevel(edge_thickness=4, height=12), Trim(faces=1)]
)
def test_scale_on_a_bar_is_as_much_milled_off_all_round(last: Step):
    """The material coordinates of what is left stay: the same as a trim, which moves no metal."""
    before, skin = (Consolidate(), Press(height=20, friction=0.7)), HOT.scale
    hot = History(CAN.bar(), (*before, last.model_copy(update={"heat": HOT})))
    same(hot, History(CAN.bar(), (*before, Trim(faces=skin, sides=skin, ends=skin), last)))


def test_what_went_to_scale_is_gone_both_ways():
    """Points just under the skin, as deep as the fire ate, are nowhere on the bar; those a little deeper are."""
    history = History(CAN.bar(), (Consolidate(heat=HOT), Press(height=20, friction=0.7), Press(height=9, heat=HOT)))
    for number, up in ((1, CAN.height / 2 + CAN.wall), (3, 10.0)):
        before = History(CAN.bar(), history.steps[: number - 1])
        under = [[0, 0, up - 0.9 * LOST], [0, 0, up - 1.1 * LOST]]
        gone, there = History(CAN.bar(), history.steps[:number]).can_to_bar(before.between(under, "bar", "can"))
        assert np.isnan(gone).all()
        assert there[:2] == pytest.approx([0, 0])
        assert np.isfinite(there).all()


def test_a_can_that_is_eaten_through_leaves_the_powder():
    """A wall has no more than its own thickness to lose."""
    hot = Heat(temperature=1250, minutes=600, scale_share=1.0)
    history = History(CAN.bar(), (Consolidate(heat=hot),))
    assert history.scale == (2.0,)
    assert history.met[0].size == (80, 30, 40)
    assert history.bar.size == pytest.approx((80, 30, 24))


def test_a_bar_that_is_eaten_up_is_refused():
    hot = Heat(temperature=1250, minutes=600, scale_share=1.0)
    steps = (Consolidate(), Press(height=4), Press(height=3, heat=hot))
    with pytest.raises(
        JobError, match=r"forging\[2\]\.heat: scale would take 3\.\d+ mm off each side of a bar that is only"
    ):
        _ = History(CAN.bar(), steps).bar


@pytest.mark.parametrize("shaping", [ForgeBevel(edge_thickness=4, height=12), Taper(tip_thickness=5, tip_width=20)])
def test_a_shaped_bar_is_thinner_all_over(shaping: Step):
    """As thick as before but for the skin of both faces; slopes count as flat, cosines aside."""
    bar = shaping.after(Bar(100.0, 30.0, 8.0))
    scaled = bar.scaled(0.2)
    along, across = np.linspace(-49, 49, 9)[:, None], np.linspace(-9, 9, 9)[None, :]
    thinner = bar.thickness_at(along, across) - scaled.thickness_at(along, across)
    assert thinner == pytest.approx(np.full(thinner.shape, 0.4), abs=0.07)
    assert scaled.size == pytest.approx(np.array(bar.size) - 0.4)
