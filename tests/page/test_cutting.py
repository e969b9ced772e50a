"""Where to cut, on the page: the place found is laid into the work, and taken back."""

from __future__ import annotations

import pytest

from tests.page.visiting import open_panel, press, visit


@pytest.mark.slow
def test_the_best_place_is_laid_into_the_work():
    page = visit()
    page.selectbox(key="start").set_value("running_wave").run()
    open_panel(page, "Try grinds", "Where to cut")
    assert any("its place in the bar is free" in each.value for each in page.info)
    press(page, "Find the place")
    assert any(each.value.startswith("Cut at the best place") for each in (*page.success, *page.warning))
    press(page, "Lay the blade so")
    placement = page.session_state.good.blade.placement
    assert placement.off[0] > 5
    assert placement.heel is None
    assert not any("The work has changed since" in each.value for each in page.warning)
    press(page, "Draw it so")
    assert page.session_state.good.pattern.size is not None
    assert any("The work has changed since" in each.value for each in page.warning)
    page.text_input(key="cut_keep").set_value("7").run()
    press(page, "Find the place")
    assert any("can come out whole; given 7" in each.value for each in page.error)
