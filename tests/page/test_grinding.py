"""Blade and grind on the page: what one number makes of another, and what moves where it makes one impossible."""

from __future__ import annotations

import math

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from preview.blade.grinds import GRIND_KINDS
from tests.page.visiting import control, moved, open_job, picture, seems_well, slider, visit


def test_a_tang_shows_with_a_handle_and_is_checked_against_the_bar():
    """As much of the handle as leaves the blade 70 % of the width; all of a bare tang; both are longer than the
    bar is."""
    page = visit(3)
    control(page, "number_input", "Tang, mm").set_value(0.0).run()
    before = picture(page).shape
    good = page.session_state.good
    long = good.blade.outline.length
    tang = math.ceil(good.history.bar.length - long) + 3.0
    assert not any("The tang reaches" in each.value for each in page.warning)
    control(page, "number_input", "Tang, mm").set_value(tang).run()
    assert not page.exception
    with_handle = picture(page)
    scale = before[1] / (long + 16)
    assert with_handle.shape[0] == before[0]
    assert with_handle.shape[1] == pytest.approx(long / 0.7 * scale, abs=2)
    assert any("The tang reaches" in each.value and "beyond the bar's end" in each.value for each in page.warning)
    control(page, "selectbox", "Handle").set_value("none").run()
    bare = picture(page)
    assert bare.shape[1] - before[1] == pytest.approx(tang * scale, abs=2)


def test_moving_the_grind_moves_the_picture():
    page = visit()
    page.selectbox(key="start").set_value("running_wave").run()
    before = picture(page)
    control(page, "number_input", "Grind angle, ° a side").set_value(4.0).run()
    after = picture(page)
    assert before.shape == after.shape
    assert np.abs(before.astype(int) - after).mean() > 0.3


def test_undo_takes_back_one_change_and_no_more():
    page = visit()

    def edge():
        return control(page, "number_input", "Edge before sharpening, mm")

    def undo():
        return page.button(key="undo")

    def grind():
        return control(page, "selectbox", "Grind").value, height(page)

    assert undo().disabled
    edge().set_value(0.5).run()
    assert not undo().disabled
    control(page, "selectbox", "Grind").set_value("hollow").run()
    assert grind() == ("hollow", 11.7)  # moved, since the wheel reaches no farther; see the test of limits
    undo().click().run()
    assert not page.error
    assert (grind(), edge().value) == (("flat", 34.0), 0.5)
    undo().click().run()
    assert (grind(), edge().value) == (("flat", 34.0), 0.3)
    assert undo().disabled


def height(page: AppTest) -> float:
    found = control(page, "number_input", "Grind height, mm").value
    assert slider(page, "Grind height, mm")["value"] == found
    return found


def angle(page: AppTest) -> float:
    found = control(page, "number_input", "Grind angle, ° a side").value
    assert slider(page, "Grind angle, ° a side")["value"] == found
    return found


def test_what_is_held_changes_and_the_bevel_stays():
    page = visit()
    page.selectbox(key="start").set_value("running_wave").run()
    before = picture(page).astype(int)
    high = height(page)
    assert high == pytest.approx(page.session_state.good.ground.bevel("right", np.array([65.0])).height[0], abs=0.05)
    control(page, "radio", "What stays the same from heel to tip?").set_value("height").run()
    assert page.session_state.good.grind.right.hold == "height"
    assert height(page) == pytest.approx(high, abs=0.05)
    assert np.abs(picture(page) - before).mean() < 2
    control(page, "radio", "What stays the same from heel to tip?").set_value("angle").run()
    assert angle(page) == pytest.approx(6.0, abs=0.15)


def test_height_and_angle_are_two_names_of_one_thing():
    """Marsh moon at mid-blade: the rise over 34 mm, and what angle and height make of each other by trigonometry."""
    page = visit()
    ground = page.session_state.good.ground
    bevel = ground.bevel("right", np.array([ground.blade.outline.length / 2]))
    rise = float(bevel.face[0] - bevel.foot[0])
    assert angle(page) == pytest.approx(np.degrees(np.arctan(rise / 34)), abs=0.006)
    control(page, "number_input", "Grind height, mm").set_value(20.0).run()
    assert angle(page) == pytest.approx(np.degrees(np.arctan(rise / 20)), abs=0.006)
    control(page, "number_input", "Grind angle, ° a side").set_value(4.0).run()
    assert height(page) == pytest.approx(rise / np.tan(np.radians(4.0)), abs=0.06)
    assert page.session_state.good.grind.right.hold == "height"
    control(page, "checkbox", "Full height").check().run()
    assert page.session_state.good.grind.right.height == "full"
    assert height(page) == ground.blade.outline.height


def test_hollow_starts_as_high_as_its_wheel_allows():
    """The tip's rise is (1.6 - 0.3) / 2 = 0.65: sqrt(0.65 * (250 - 0.65)) = 12.73, and 34 takes 34**2 / 0.65 + 0.65."""
    page = visit()
    control(page, "selectbox", "Grind").set_value("hollow").run()
    assert not page.error
    assert height(page) == 12.7
    assert slider(page, "Grind height, mm")["high"] == 12.7
    assert moved(page) == [
        "Grind height moved to 12.7 mm: the most that this wheel allows. 34 mm high takes a wheel of diameter 1780 mm "
        "or more."
    ]
    assert page.session_state.good.grind.right.height == 12.7
    control(page, "number_input", "Wheel diameter, mm").set_value(500.0).run()
    assert height(page) == 18.0  # as near to the 34 that were there as this wheel gets
    assert "18 mm: the most that this wheel allows" in moved(page)[0]
    control(page, "number_input", "Grind height, mm").set_value(17.0).run()
    assert (height(page), moved(page)) == (17.0, [])  # told until the next change
    assert any(each.value == "Up to 18 mm with this wheel." for each in page.caption)
    control(page, "number_input", "Wheel diameter, mm").set_value(100.0).run()
    assert height(page) == 8.0
    assert "8 mm: the most that this wheel allows" in moved(page)[0]


def test_what_a_choice_makes_impossible_moves_and_says_so():
    page = visit(3)
    control(page, "number_input", "Edge before sharpening, mm").set_value(2.5).run()
    assert not page.error
    assert moved(page) == ["Edge before sharpening moved to 1.59 mm: the most that this thickness allows."]
    control(page, "number_input", "Blade length, mm").set_value(900.0).run()
    assert not page.error
    assert "the most that this bar allows" in moved(page)[0]
    good = page.session_state.good
    assert good.blade.outline.length == math.floor(10 * good.history.bar.length) / 10
    control(page, "number_input", "Blade height, mm").set_value(20.0).run()
    assert not page.error
    assert height(page) == 20.0
    assert "Grind height moved to 20 mm: the most that this blade height allows." in moved(page)[0]
    assert "Tang's rise moved to 2 mm" in moved(page)[0]


def test_a_larger_blade_gets_a_larger_can():
    page = visit(3)
    wanted = math.ceil(page.session_state.good.history.bar.length) + 12.0
    control(page, "number_input", "Blade length, mm").set_value(wanted).run()
    assert any("Blade length moved to" in each.value for each in page.caption)
    take = next(each for each in page.button if each.label.startswith("Make the can"))
    take.click().run()
    assert not page.exception
    assert not page.error
    assert page.session_state.good.blade.outline.length == wanted


@pytest.mark.slow
def test_every_grind_and_outline_there_is_can_be_chosen():
    page = visit(3)
    open_job(page)
    for kind in GRIND_KINDS.keys() - {"none"}:  # the page's one grind of both faces
        control(page, "selectbox", "Grind").set_value(kind).run()
        seems_well(page, kind)
        assert page.session_state.good.grind.right.kind == kind
    assert "drawn" not in control(page, "selectbox", "Outline").options  # it needs a drawing first
    for shape in control(page, "selectbox", "Outline").options:
        control(page, "selectbox", "Outline").set_value(shape).run()
        seems_well(page, shape)
        assert page.session_state.good.blade.outline.shape == shape


def test_left_face_alone():
    page = visit()
    control(page, "checkbox", "Left face ground differently").check().run()
    kinds = [each for each in page.selectbox if each.label == "Grind"]
    kinds[1].set_value("none").run()
    assert not page.exception
    assert page.session_state.good.grind.bevel("left").kind == "none"
    assert page.session_state.good.grind.right.kind == "flat"
