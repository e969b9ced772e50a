"""The waves that bites leave, worked by hand: 0.12 of the travel at 0.65 of the thickness, 0.23 at 2.5 times it.

The two numbers are from plane-strain finite-element bites made for this project; rms is a swing over the root of two.
"""

from __future__ import annotations

from math import sqrt

import pytest

from preview.forging.bar import Bar
from preview.forging.bites import LAPPED, UNPRESSED
from preview.forging.history import History
from preview.forging.steps import Press, Turn, Upset
from preview.job.unsure import Unsure
from preview.pipeline import preview

GRIND = {"right": {"height": 20}}
BAR = Bar(100.0, 30.0, 30.0)


@pytest.mark.parametrize(
    ("bite", "swing"), [(10.0, 0.12), (0.65 * 30, 0.12), (sqrt(0.65 * 2.5) * 30, 0.175), (75.0, 0.23), (200.0, 0.23)]
)
def test_one_pass(bite, swing):
    found = History(BAR, (Press(height=20, bite=bite),)).waves
    assert found == pytest.approx(swing * 10 / sqrt(2))


def test_what_a_pass_leaves_grows_until_the_last_and_adds_up_as_unlike_waves_do():
    """30 to 15 to 10 mm, bites of 0.65: the first wave, 0.12 x 15, grows by the root of 15 over 10."""
    history = History(BAR, (Press(height=15, bite=19.5), Press(height=10, bite=0.65 * 15)))
    assert history.waves == pytest.approx(sqrt(((0.12 * 15) ** 2 * 1.5 + (0.12 * 5) ** 2) / 2))


def test_many_passes_leave_less_than_one_and_on_edge_is_pressing_too():
    few, many = (History(BAR, (Press(height=10, bite=20, repeat=count),)).waves for count in (1, 5))
    assert many < 0.8 * few
    turned = History(BAR, (Press(height=20, bite=20, repeat=2, turn_between=True), Turn())).waves
    assert turned > History(BAR, (Press(height=20, bite=20),)).waves


def test_nothing_pressed_leaves_no_waves():
    assert History(BAR, (Upset(length=80),)).waves == 0


def test_a_job_takes_bites_that_overlap_by_half_unless_it_says_otherwise(demo):
    assert demo.unsure.hammer is None
    assert demo.hammer == pytest.approx(LAPPED * demo.history.waves)
    assert 0.2 < demo.hammer < 0.8
    assert demo.model_copy(update={"unsure": Unsure(hammer=0.0)}).hammer == 0
    assert demo.model_copy(update={"unsure": Unsure(hammer=1.1)}).hammer == 1.1


@pytest.mark.parametrize(("passes", "bite", "told"), [(1, 35, True), (6, 15, False)])
def test_it_says_so_where_bites_are_to_overlap(make, passes, bite, told):
    press = {"step": "press", "height": 7, "bite": bite, "repeat": passes}
    job = make(
        can={"length": 70, "width": 30, "height": 44}, forging=[{"step": "consolidate"}, press],
        blade={"thickness": 6, "outline": {"length": 100, "height": 30}}, grind=GRIND,
    )  # fmt: skip
    notes = [str(note) for note in preview(job, px_per_mm=1).numbers.notes]
    assert any("overlap your bites by half" in note for note in notes) is told


def test_hammered_only(make):
    blade = {"outline": {"length": 60, "height": 25}}
    job = make(forging=[{"step": "consolidate"}, {"step": "upset", "length": 70}], blade=blade, grind=GRIND)
    assert job.hammer == UNPRESSED
