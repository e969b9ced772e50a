"""Where to cut, on the page: the place found is laid into the work, and taken back."""

from __future__ import annotations

import pytest

from tests.page.visiting import open_job, open_panel, press, visit


@pytest.mark.slow
def test_a_place_is_laid_into_the_work_and_one_that_is_no_better_is_not_offered():
    page = visit()
    blade = {"thickness": 4, "outline": {"length": 50, "height": 20, "tang": 0}, "placement": {"off": [-20.0, 3.0]}}
    open_job(page, blade=blade)
    open_panel(page, "Try grinds", "Where to cut")
    assert any("its place in the bar is free" in each.value for each in page.info)
    press(page, "Find the place")
    assert any(each.value.startswith("Place 1 is better") for each in (*page.success, *page.warning))
    press(page, "Lay the blade so")
    placement = page.session_state.good.blade.placement
    assert placement.off != (-20.0, 3.0)
    assert not any("The work has changed since" in each.value for each in page.warning)
    page.text_input(key="cut_keep").set_value("17").run()
    press(page, "Find the place")
    assert any("can come out whole; given 17" in each.value for each in page.error)


@pytest.mark.slow
def test_where_the_drawing_is_at_fault_it_is_drawn_otherwise():
    page = visit()
    page.selectbox(key="start").set_value("running_wave").run()
    open_panel(page, "Try grinds", "Where to cut")
    press(page, "Find the place")
    assert any(each.value.startswith("Leave the blade where it lies") for each in page.warning)
    assert not [each for each in page.button if each.label == "Lay the blade so"]
    press(page, "Draw it so")
    assert page.session_state.good.pattern.size is not None
    assert any("The work has changed since" in each.value for each in page.warning)
