"""The shop's sheet, read back from the PDF."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.day.planning import make_plan
from preview.day.shop_file import load_shop
from preview.filling.budget import weigh
from preview.filling.can_drawing import draw_can
from preview.filling.insert import set_down
from preview.job.file import load_job
from preview.sheets.can_sheet import draw_plan
from preview.sheets.order import closing_order, work_order
from preview.sheets.paper import Page
from preview.sheets.sheets import sheet_pdf
from tests.conftest import DEMOS
from tests.support.pdf import author, fonts, paths, size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_the_shop_sheet_says_what_the_shop_needs(shop):
    text = words(shop)
    for word in (
        "Łukasz & Søn", "Can and fill", "weigh in", "Step by step", "read at 1000 °C", "your reading",
        "mm from the heel", "etch 12 min", "Cautions", "Fill in this order",
        "Not planned for your own press", "Rooms, enlarged",
        "Place of the blade in the bar", "Cross-section", "Vent the can", "50 mm", "Marking templates", "Left face",
    ):  # fmt: skip
        assert word in text, word


def test_the_can_is_drawn_at_true_size_first_of_all(shop):
    boxes = [(right - left, top - low) for left, low, right, top in paths(shop, 0)]
    assert any(wide == pytest.approx(95, abs=0.01) and tall == pytest.approx(24, abs=0.01) for wide, tall in boxes)
    text = " ".join(words(shop).split())
    assert "What goes into the can, at true size" in text
    assert text.index("at true size") < text.index("Can and fill") < text.index("1. nickel, 22.6 g")


@pytest.mark.slow
def test_a_can_larger_than_the_paper_is_drawn_smaller_and_said(make):
    can = {"length": 300, "width": 60, "height": 40, "wall": 2}
    blade = {"thickness": 4, "outline": {"length": 150, "height": 30}}
    long = make(
        np.zeros((40, 200), dtype=bool), can=can, blade={"thickness": 4, "outline": {"length": 150, "height": 30}}
    )
    pdf = sheet_pdf(long, "shop")
    text = " ".join(words(pdf).split())
    assert "drawn 1.25 times smaller than it is" in text
    assert "The can holds one powder" in text
    boxes = [(right - left, top - low) for left, low, right, top in paths(pdf, 0)]
    assert any(wide == pytest.approx(240, abs=0.01) and tall == pytest.approx(48, abs=0.01) for wide, tall in boxes)
    assert size(pdf)[0] == 4
    deep = make(np.zeros((40, 200), dtype=bool), can={**can, "width": 110}, blade=blade)
    assert size(sheet_pdf(deep, "shop"))[0] == 5  # the fill has a page of its own


@pytest.mark.parametrize(
    ("name", "soak"),
    [
        pytest.param("fine_rain", "200 °C, 60 min", marks=pytest.mark.slow),
        ("three_steels", "180 °C, 45 min"),
    ],
)
def test_every_warning_of_the_budget_is_on_the_sheet_beside_its_line(name, soak):
    job = load_job(DEMOS / f"{name}.toml")
    if name == "three_steels":  # a sound job: with a can that is too short
        job = job.model_copy(update={"can": job.can.model_copy(update={"length": 95.0})})
    text = " ".join(words(sheet_pdf(job, "shop")).split())
    found = weigh(job)
    assert found.remarks
    for remark in found.remarks:
        assert str(remark.words) in text
        if remark.about == "nickel":  # what cannot be is no instruction
            assert "nickel cannot be: see below" in text
            assert text.count("9.10 g/cm³") == 1
    assert "Soak at least" not in text  # one soak: that of the step
    assert text.count(soak) == 1


def test_the_place_in_the_bar_adds_up(shop):
    """Bar of 253.8 x 33.6 mm, blade of 130 x 30 mm in its middle."""
    text = words(shop)
    assert "253.8 x 33.6 x 4.2 mm" in text
    assert text.count("61.9") >= 2
    assert "heel 65.0 mm towards the heel, edge line 15.0 mm towards the edge" in " ".join(text.split())
    assert text.count("\n1.8\r") + text.count("\n1.8\n") >= 1


def test_grinds_stand_in_the_order_of_the_work():
    lines = work_order(load_job(DEMOS / "marsh_moon.toml"), METRIC)
    assert "0.3 to 0.5 mm outside the line" in lines[1]
    assert "1.60 mm after the quench" in lines[3]
    assert "the edge 1 mm thick" in lines[4]
    assert [line.split(" ")[0].strip(":,") for line in lines[5:-1]] == [
        "Both", "Normalise", "Harden", "Regrind", "Etch",
    ]  # fmt: skip
    assert "temper at once" in lines[7]
    assert "down to 3.00 mm" in lines[8]
    assert lines[-1].endswith("sharpen last.")


def test_plastic_is_burnt_out_before_the_first_heat_where_there_is_some():
    job = load_job(DEMOS / "marsh_moon.toml")
    printed, drawn_out = (" ".join(closing_order(weigh(job, bead=bead))) for bead in (None, 0))
    assert "Burn the plastic out" in printed
    assert "plastic" not in drawn_out
    assert "drawn out" in drawn_out


def test_the_maker_is_the_author_and_fonts_are_embedded(shop):
    assert author(shop) == "Łukasz & Søn (invented)"
    found = fonts(shop)
    assert len(found) >= 2
    assert all(found.values()), found
    assert b"Helvetica" not in shop
    assert size(shop)[0] == 4


@pytest.mark.parametrize(("tools", "said"), [("press_25t", "Work by the heats"), ("press_12t", "do not manage")])
def test_one_set_of_minutes_is_to_be_worked_by(tools, said):
    job = load_job(DEMOS / "marsh_moon.toml")
    plan = make_plan(job, load_shop(DEMOS / "shops" / f"{tools}.toml"))
    text = " ".join(words(sheet_pdf(job, "shop", day=plan)).split())
    assert said in text
    assert "Not planned" not in text
    assert "temper at once" in text


def test_the_insert_is_set_down_by_what_is_drawn():
    """Its distances from the can's sides, of the words that place it too; left and right add up with it to the can."""
    drawn, page = draw_can(load_job(DEMOS / "marsh_moon.toml")), Page((297.0, 210.0), "can")
    draw_plan(page, drawn, 10.0, 10.0, 1.0, METRIC, 120.0)
    page.turn_over()
    text = " ".join(words(page.finish()).split())
    assert "heel end" in text
    assert "edge side" in text
    (each,) = set_down(drawn.insert)
    left, low, right, top = each.bounds
    wide, high = drawn.room
    for far in (left + wide / 2, wide / 2 - right, low + high / 2, high / 2 - top):
        assert f" {far:.1f} " in text
