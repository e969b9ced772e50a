"""Steps of the forging on the page: added, moved, copied, taken out, and what is told of them."""

from __future__ import annotations

import re

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from preview.base.units import METRIC
from preview.forging.steps import STEPS
from preview.page.telling import TITLES
from tests.page.visiting import control, moved, open_job, picture, press, seems_well, visit


def steps_of(page: AppTest) -> list[str]:
    return [step["step"] for step in page.session_state.table["forging"]]


def boxes_of(page: AppTest) -> list[bool]:
    """Return whether the box of each step is open."""
    boxes = [each for each in page.expander if each.label not in TITLES.values()]
    return [each.proto.expanded for each in boxes if re.match(r"\d+ · ", each.label)]


def open_box(page: AppTest, index: int) -> None:
    opened = page.session_state.opened
    page.session_state[f"{opened}.mm.°C.forging.{index}.box"] = True
    page.run()


def test_what_is_wrong_is_told_at_its_control_and_the_last_picture_stays():
    page = visit(2)
    before = picture(page)
    page.session_state["group 2"] = False
    weld, press, mill = page.session_state.table["forging"]
    page.session_state.table["forging"] = [press, weld, mill]
    page.run()
    above, beside = [each.value for each in page.error]
    assert above == "Something in Forging does not work; the picture is the last one that could be made."
    assert page.session_state["group 2"]  # it opens, so that it is found
    assert boxes_of(page)[0]
    assert beside.startswith("Step 1, Press\\: The filling is still loose")
    assert "forging" not in beside
    np.testing.assert_array_equal(picture(page), before)
    page.session_state.table["forging"] = [weld, press, {**mill, "sides": (1.0, 1.0)}]
    page.session_state.table["etch"]["minutes"] = -1.0
    page.run()
    assert [each.value for each in page.error][1] == "A number of at least 0 is needed; given \\-1\\.0"
    page.button(key="undo").click().run()
    assert not page.error


@pytest.mark.slow
def test_steps_are_added_moved_copied_and_taken_out_and_their_boxes_stay_open():
    page = visit(2)
    page.session_state["group 4"] = False
    page.run()
    assert steps_of(page) == ["consolidate", "press", "trim"]
    assert boxes_of(page) == [False] * 3
    open_box(page, 1)
    assert boxes_of(page) == [False, True, False]
    control(page, "number_input", "Down to, mm").set_value(5.7).run()
    assert boxes_of(page) == [False, True, False]
    control(page, "selectbox", "Another step").set_value("trim").run()
    control(page, "selectbox", "It comes").set_value(1).run()
    press(page, "Add")
    assert steps_of(page) == ["consolidate", "trim", "press", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    for side in ("below", "above"):  # the blade is to stay inside the bar
        control(page, "number_input", f"Faces, {side}, mm").set_value(0.0).run()
    press(page, "Down")  # the new one, after the press
    assert steps_of(page) == ["consolidate", "press", "trim", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    press(page, "Copy")
    assert steps_of(page) == ["consolidate", "press", "press", "trim", "trim"]
    assert not page.error  # what has been pressed so thin already goes a little further down
    assert page.session_state.table["forging"][2]["height"] == 4.5
    press(page, "Take out", 1)
    assert steps_of(page) == ["consolidate", "press", "trim", "trim"]
    for _ in range(3):
        press(page, "Undo")
    assert steps_of(page) == ["consolidate", "trim", "press", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    press(page, "Redo")
    press(page, "Take out", 1)
    assert steps_of(page) == ["consolidate", "press", "trim"]
    assert boxes_of(page) == [False, True, False]
    assert page.session_state.table["forging"][1]["height"] == 5.7


def test_milling_asks_for_no_heat():
    page = visit(2)
    open_box(page, 2)
    assert control(page, "number_input", "Faces, below, mm")
    assert not [each for each in page.checkbox if each.label == "A heat of its own"]
    open_box(page, 1)
    assert control(page, "checkbox", "A heat of its own").value
    wide = page.session_state.good.history.bar.width
    control(page, "checkbox", "Kept from scale").check().run()
    assert not page.exception
    assert page.session_state.good.history.bar.width > wide + 0.5


def test_what_moved_comes_back_once_it_is_possible_again():
    page = visit(2)
    open_box(page, 1)
    length = page.session_state.good.blade.outline.length
    for height, stays in ((12.0, False), (5.6, True)):  # so thick a bar is shorter than the blade
        control(page, "number_input", "Down to, mm").set_value(height).run()
        assert (page.session_state.good.blade.outline.length == length) is stays
        assert any("Blade length moved to" in each.value for each in page.caption) is not stays
        assert any(f'" to {height:g} mm, ' in each.proto.body for each in page.get("html"))  # after the step's title


@pytest.mark.slow
def test_every_step_there_is_can_be_added():
    """Each starts from its example, on a bar that may be twisted too, and loose for the one that welds."""
    page = visit(2)
    page.session_state["group 4"] = False
    page.run()
    for step in STEPS:
        forging = [] if step.welds else [{"step": "consolidate", "shares": {"along": 0, "across": 0, "through": 1}}]
        open_job(page, forging=forging)
        name = step.model_fields["step"].default
        control(page, "selectbox", "Another step").set_value(name).run()
        control(page, "button", "Add").click().run()
        seems_well(page, name)
        assert type(page.session_state.good.forging[-1]) is step
        before = page.session_state.good.history.bars[-2]
        assert page.session_state.good.forging[-1].words(METRIC) == step.example(before).words(METRIC)


@pytest.mark.slow
def test_no_error_is_the_first_answer_to_a_step_added_or_copied():
    """At the first place that is offered; that the others do as well is known below the page (job/test_arranging)."""
    page = visit(2)
    page.session_state["group 4"] = False
    page.run()
    first = page.session_state.good.forging
    for name in ("consolidate", "twist", "upset", "trim"):
        control(page, "selectbox", "Another step").set_value(name).run()
        offered = [each for each in page.selectbox if each.label == "It comes"]
        assert bool(offered) == (name not in {"consolidate", "twist"})  # told why not, instead
        if offered:
            offered[0].set_value(len(first) - len(offered[0].options) + 1).run()
            press(page, "Add")
            seems_well(page, name)
            press(page, "Undo")
            assert page.session_state.good.forging == first
    for index in (0, 1):
        open_box(page, index)
        copy = next(each for each in page.button if each.label == "Copy")
        assert copy.disabled == (index == 0)  # what is solid is not consolidated again
        page.session_state[f"{page.session_state.opened}.mm.°C.forging.{index}.box"] = index == 1
    press(page, "Copy")
    seems_well(page, "a copy")


@pytest.mark.slow
def test_a_step_that_leaves_too_small_a_bar_says_so_and_an_error_alone_stands_under_the_blade():
    page = visit(2, 3)
    open_box(page, 1)
    control(page, "number_input", "Down to, mm").set_value(40.0).run()
    assert not page.error
    thick = page.session_state.good.forging[1].height
    assert any(f"Down to moved to {thick:g} mm: the most that this bar's thickness" in each for each in moved(page))
    captions = [each.value.replace("\\", "") for each in page.caption]
    assert any("too small for the blade. Moved: Blade length to" in each for each in captions)
    press(page, "Undo")
    control(page, "number_input", "Tang, mm").set_value(250.0).run()
    assert any("The tang reaches" in each.value for each in page.warning)
    page.session_state.table["powders"][0]["colours"] = []
    page.run()
    assert page.error
    assert not page.warning
