"""The day at the forge on the shop's sheet, read back from the PDF."""

from __future__ import annotations

import pytest

from preview.base.units import Units
from preview.day.batch import make_batch
from preview.day.planning import make_plan
from preview.day.shop_file import load_shop
from preview.job.file import load_job
from preview.sheets.batch_sheet import draw_batch
from preview.sheets.day_sheet import SHARES, draw_day
from preview.sheets.paper import Page
from tests.conftest import DEMOS
from tests.support.pdf import size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_shares_are_the_whole_width():
    assert sum(SHARES) == pytest.approx(1)


@pytest.mark.parametrize("name", ["press_12t", "hammer_by_hand"])
def test_every_pass_is_on_it(name):
    job, shop = load_job(DEMOS / "three_steels.toml"), load_shop(DEMOS / "shops" / f"{name}.toml")
    plan, page = make_plan(job, shop), Page((297.0, 210.0), "day")
    draw_day(page, plan, Units())
    page.turn_over()
    pdf = page.finish()
    text = " ".join(words(pdf).split())
    assert size(pdf)[0] > 1
    assert "Not possible with" in text
    assert text.count("back at") >= len([step for step in plan.steps if step.passes])
    for step in plan.steps:
        for each in step.passes:
            assert f"{each.squeeze.h0:.1f} to {each.squeeze.h1:.1f} mm" in text
    assert "How sure" in text
    assert text.index("After forging") < text.index("normalise before the quench") < text.index("temper at once")


def test_several_of_one_kind():
    job, shop = load_job(DEMOS / "running_wave.toml"), load_shop(DEMOS / "shops" / "press_25t.toml")
    batch, page = make_batch(make_plan(job, shop), 3), Page((297.0, 210.0), "day")
    draw_batch(page, batch, job.blade.outline.profile, Units())
    page.turn_over()
    text = " ".join(words(page.finish()).split())
    assert "3 blades: 3 cans alike" in text
    assert "true size" in text
    assert "[ ] can 3" in text
    assert "grind a blade" in text
    assert "crowns" in text
