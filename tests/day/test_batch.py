"""Several blades of one kind: cans, sums worked by hand, and nothing made up where the smith gives no price."""

from __future__ import annotations

import pytest

from preview.base.errors import RequestError
from preview.base.units import Units
from preview.day import batch
from preview.day.batch import make_batch
from preview.day.batch_words import batch_text, blanks_svg, cost_rows, time_rows
from preview.day.planning import make_plan
from preview.day.prices import PowderPrice, Prices, Times
from preview.day.tools import Saw, Shop
from preview.filling.budget import weigh
from preview.filling.fill import Fill, Filling
from preview.job.file import load_job
from tests.conftest import DEMOS


@pytest.fixture(scope="module")
def start():
    return load_job(DEMOS / "plain_start.toml")


@pytest.fixture(scope="module")
def strong(shops):
    return shops["press_25t"].model_copy(update={"saw": None, "prices": None, "times": None})


@pytest.fixture(autouse=True)
def _grams(monkeypatch):
    """Half a kilogram of one powder and a tenth of that of the other, for sums by hand."""
    usual = (4.4, 5.0)
    fills = tuple(Fill(name, "", 1.0, 4.7, usual, grams, 0.0) for name, grams in (("plain", 500.0), ("nickel", 50.0)))
    monkeypatch.setattr(batch, "fill", lambda job: Filling(fills, 0.1, "", 0.55))  # noqa: ARG005


def batch_of(job, shop, blades, **parts):
    return make_batch(make_plan(job, Shop.model_validate({**dict(shop), **parts})), blades)


def test_cans_and_the_last_one(start, strong):
    found = batch_of(start, strong, 3)
    assert (found.cans, found.last) == (3, 1)
    assert len(found.blanks.lays) == 1
    assert found.left_over == pytest.approx(3 * weigh(start).left_over)  # one blade a can: three times the budget's


def test_one_more_goes_into_the_bar_of_the_longer_can(start, strong):
    found = batch_of(start, strong, 2)
    just, short = (in_can(start, found.one_more + off) for off in (0.1, -0.1))
    assert len(batch_of(just, strong, 2).moved) == 2
    assert not batch_of(short, strong, 2).moved


def in_can(job, length):
    return job.model_copy(update={"can": job.can.model_copy(update={"length": length})})


def test_two_out_of_one_bar(start, strong):
    """The first where the work has it, at the heel end of a bar of twice the length; a third takes a second can."""
    outline = start.blade.outline
    place = start.blade.placement.model_copy(update={"heel": outline.tang_length + 3})
    longer = in_can(start, 2 * start.can.length)
    longer = longer.model_copy(update={"blade": start.blade.model_copy(update={"placement": place})})
    two, three = batch_of(longer, strong, 2), batch_of(longer, strong, 3)
    assert (two.cans, len(two.blanks.lays)) == (1, 2)
    assert (three.cans, three.last) == (2, 1)
    assert three.left_over == pytest.approx(2 * two.left_over + weigh(longer).blank)
    assert "only the first shows the pattern" in batch_text(two)


def test_more_if_the_first_is_moved(start, strong):
    """In the middle of a bar of nearly twice the length, a blade leaves no room for a second at either end."""
    longer = in_can(start, 1.9 * start.can.length)
    found = batch_of(longer, strong, 2)
    assert len(found.blanks.lays) == 1
    assert len(found.moved) == 2
    assert "2 would go in if the first were moved too" in batch_text(found)


def test_a_bar_forged_to_shape_is_one_blades(strong):
    found = batch_of(load_job(DEMOS / "three_steels.toml"), strong, 2)
    assert found.own_shape
    assert (found.cans, found.one_more) == (2, None)


def test_sums_by_hand(start, strong):
    prices = Prices(money="EUR", hour=40, can=8, powders=(PowderPrice(name="nickel", kilo=60),))
    times = Times(can=90, grind=120)
    found = batch_of(start, strong, 3, prices=prices, times=times)
    minutes = 3 * 90 + 3 * make_plan(start, strong).minutes + 3 * 120
    assert found.time == pytest.approx(minutes)
    assert found.cost == pytest.approx(3 * 0.05 * 60 + 3 * 8 + minutes / 60 * 40)
    costs, spent = ({row[0]: row for row in rows} for rows in (cost_rows(found), time_rows(found)))
    assert costs["powder plain"][2:] == ("no price given", "no price given")
    assert costs["fire"][2] == "no price given"
    assert costs["cans"] == ("cans", "3 cans", "8.00 EUR", "24 EUR")
    assert list(costs)[-1] == "in all, at least, 3 without a price left out"
    assert costs["your work"][1] == f"{round(minutes / 15) / 4:g} h"  # to a quarter
    assert list(spent)[-1].startswith("in all, at least")
    assert spent["cut a blank out"][3] == "no time given"
    assert "3 without a time left out" in list(spent)[-1]


def test_no_price_is_made_up(start, strong):
    found = batch_of(start, strong, 2)
    assert found.cost == 0
    rows = cost_rows(found)
    assert all(row[3] == "no price given" for row in rows[1:])
    assert not rows[-1][0].startswith("in all")


def test_kerf_of_ones_own_saw(start, strong):
    assert batch_of(start, strong, 1).blanks.kerf == 2.0
    narrow = batch_of(start, strong, 1, saw=Saw(kerf=1.0))
    assert narrow.blanks.sawn_area < 0.7 * batch_of(start, strong, 1).blanks.sawn_area


def test_in_inches(start, strong):
    assert " mm" not in batch_text(batch_of(start, strong, 2), Units(sizes="inch"))


def test_drawn_at_true_size(start, strong):
    found = batch_of(start, strong, 1)
    text = blanks_svg(found, start.blade.outline.profile).decode()
    assert f'width="{found.blanks.length + 10:.3f}mm"' in text
    assert text.count("<path") == 1


@pytest.mark.parametrize("blades", [0, -1, 201])
def test_how_many_are_reckoned_with(start, strong, blades):
    with pytest.raises(RequestError, match="from 1 to 200"):
        batch_of(start, strong, blades)
