"""Spread against the published law for flat tools.

Tomlinson & Stringer, J. Iron Steel Inst. 193 (1959) 157-162, repeated in Dieter, Mechanical Metallurgy; the
constants of the law are quoted from memory.
"""

from __future__ import annotations

from math import exp, log

import pytest

from preview.forging.bar import Bar
from preview.forging.steps import Press, Turn
from preview.forging.steps.press import spread_share


@pytest.mark.parametrize(("x", "share"), [(0.25, 0.2266), (0.5, 0.3065), (1, 0.4460), (1.5, 0.5585), (2, 0.6440)])
def test_published_values(x, share):
    assert spread_share(x * 25.0, 25.0) == pytest.approx(share, abs=1e-4)


def test_held_at_the_top_of_its_parabola():
    assert spread_share(100, 30) == pytest.approx(0.74)
    assert spread_share(500, 30) == spread_share(100, 30)


def test_worked_example_of_one_pass():
    before = Bar(100.0, 25.0, 30.0)
    after = Press(height=24, bite=20).after(before)
    assert after.width == pytest.approx(27.294, abs=1e-3)
    assert after.length / before.length == pytest.approx(1.14494, abs=1e-5)
    product = (after.width / before.width) * (after.length / before.length)
    assert product == pytest.approx(1.25, abs=1e-12)


def test_worked_example_of_two_passes_with_a_turn():
    bar = Bar(100.0, 30.0, 30.0)
    first = Press(height=24, bite=20).after(bar)
    assert first.width == pytest.approx(32.480, abs=1e-3)
    second = Press(height=24, bite=20).after(Turn().after(first))
    assert second.width == pytest.approx(27.108, abs=1e-3)
    assert second.length / bar.length == pytest.approx(1.3834, abs=1e-4)
    assert second.length / bar.length == pytest.approx(30 * 30 / (second.width * second.thickness), abs=1e-12)


def test_three_ways_to_say_the_spread_agree():
    bar = Bar(100.0, 25.0, 30.0)
    by_bite = Press(height=24, bite=20).after(bar)
    assert Press(height=24, spread=spread_share(20, 25)).after(bar) == by_bite
    assert Press(height=24, width=by_bite.width).after(bar).width == pytest.approx(by_bite.width, abs=1e-12)


def test_a_press_that_says_nothing_bites_25_mm():
    """x = 25/25, S = 0.446: 25 mm becomes 25 * 1.25**0.446 = 27.616 mm (25 mm: a narrow die, common practice)."""
    assert Press(height=24).after(Bar(100.0, 25.0, 30.0)).width == pytest.approx(27.616, abs=1e-3)


@pytest.mark.parametrize(("friction", "told"), [(None, False), (0.9, False), (0.95, True), (1.0, True)])
def test_it_says_so_where_the_steel_sticks_to_the_dies(friction, told):
    notes = Press(height=12, bite=25, friction=friction).notes(Bar(100.0, 25.0, 30.0))
    assert [("sticks to the dies" in str(note)) for note in notes] == [True] * told


def test_turned_passes_draw_both_sides_down():
    bar = Bar(100.0, 46.0, 42.0)
    after = Press(height=24, bite=20, repeat=4, turn_between=True).after(bar)
    assert after.width == pytest.approx(24)
    assert 24 < after.thickness < 30
    assert after.length * after.width * after.thickness == pytest.approx(100 * 46 * 42)


def test_repeated_passes_are_the_single_ones():
    bar = Bar(100.0, 30.0, 32.0)
    repeated = Press(height=8, bite=20, repeat=2).after(bar)
    single = Press(height=8, bite=20).after(Press(height=16, bite=20).after(bar))
    assert repeated.size == pytest.approx(single.size, abs=1e-10)
    widths = [each.w0 for each in Press(height=8, bite=20, repeat=2).passes(bar)]
    assert widths[1] == pytest.approx(30 * exp(spread_share(20, 30) * log(2)))
