"""What each step's numbers may be for the bar it is given, by hand; and that the step itself draws the same line."""

from __future__ import annotations

import pytest

from preview.base.errors import JobError
from preview.forging.bar import Bar
from preview.forging.steps import STEPS, Consolidate, ForgeBevel, Press, Taper, Tile, Trim, Turn, Twist, Upset

BAR = Bar(100.0, 40.0, 30.0)
SQUARE = Bar(120.0, 30.0, 30.0)
FLAT = Bar(235.3, 50.9, 6.5)
LOOSE = Bar(80.0, 36.0, 50.0, wall=2.5, density=0.6)

LIMITS = [
    # thinner than the bar is; turned between, narrower as well
    (Press(height=50), "height", 29.9),
    (Press(height=50, repeat=2, turn_between=True), "height", 29.9),
    # no narrower than the bar, and with all of 40 x 30 at 20 thick 60 wide
    (Press(height=20, width=30), "width", 40.0),
    (Press(height=20, width=70), "width", 60.0),
    # shorter than the bar is, and no disc: thick grows to 30 (100 / l)**(1/2), which is l at 90000**(1/3) = 44.81
    (Upset(length=150), "length", 99.9),
    (Upset(length=5), "length", 44.9),
    # all to the width: thickness stays at 30, so that at 30 long it is as long as its least side
    (Upset(length=5, share=1.0), "length", 30.0),
    (Tile(slice=150), "slice", 100.0),
    # half a millimetre is left: (30 - 0.5) / 2 and (40 - 0.5) / 2, (100 - 0.5) / 2 off each
    (Trim(faces=80), "faces", 14.7),
    (Trim(sides=80), "sides", 19.7),
    (Trim(ends=80), "ends", 49.7),
    (ForgeBevel(edge_thickness=50, height=15), "edge_thickness", 30.0),
    # half thickness at the edge loses a quarter of the wedge's section: h = 40 + h / 4 at 53.33
    (ForgeBevel(edge_thickness=15, height=90), "height", 53.3),
    (Taper(tip_thickness=50), "tip_thickness", 30.0),
    (Taper(tip_thickness=3, tip_width=50), "tip_width", 40.0),
]
NONE = {Consolidate, Turn, Twist}
"""Steps of which no number hangs on the bar."""


def test_every_step_is_here():
    assert {type(step) for step, _, _ in LIMITS} | NONE == set(STEPS)


@pytest.mark.parametrize(("step", "where", "nearest"), LIMITS, ids=lambda value: str(getattr(value, "step", value)))
def test_limits_by_hand(step, where, nearest):
    broken = next(each for each in step.limits(BAR) if not each.holds)
    assert (broken.where, broken.nearest) == (where, nearest)
    with pytest.raises(JobError) as caught:
        step.after(BAR)
    assert caught.value.faults[0].where == where
    step.model_copy(update={where: nearest}).after(BAR)
    beyond = broken.bound + (1e-3 if broken.most else -1e-3)
    with pytest.raises(JobError):
        step.model_copy(update={where: beyond}).after(BAR)


def test_it_is_said_with_its_cause():
    (limit,) = Press(height=6.5).limits(FLAT)
    assert str(limit.fault()) == "has to be under 6.5 mm with this bar's thickness; given 6.5 mm"
    assert str(limit.moved("Down to")) == "Down to moved to 6.4 mm: the most that this bar's thickness allows."
    _, disc = Upset(length=1).limits(FLAT)
    assert str(disc.moved("Length after")).endswith("Any shorter it would be wider or thicker than it is long.")


@pytest.mark.parametrize("bar", [BAR, SQUARE, FLAT, Bar(12.0, 8.0, 0.4), Bar(300.0, 4.0, 50.0)], ids=str)
@pytest.mark.parametrize("kind", STEPS, ids=lambda kind: kind.__name__)
def test_a_step_starts_from_numbers_that_suit_the_bar(kind, bar):
    bar = LOOSE if kind is Consolidate else SQUARE if kind is Twist else bar
    after = kind.example(bar).after(bar)
    assert min(after.size) > 0


@pytest.mark.parametrize("step", [Press(height=6.5), Press(height=6.5, repeat=2, turn_between=True), Upset(length=90)])
def test_what_is_done_once_more_goes_a_little_further(step):
    after = step.after(BAR)
    again = step.again(after)
    assert again.after(after).length != after.length
    assert again.model_copy(update={"height": None, "length": None}) == step.model_copy(
        update={"height": None, "length": None}
    )
