"""The day at the forge on the page: own tools, whether they manage it, and the work fitted to them."""

from __future__ import annotations

from tests.page.visiting import control, visit


def test_a_weak_press_and_the_work_fitted_to_it():
    page = visit()
    page.session_state["below"] = "The day"
    page.run()
    assert not page.exception
    control(page, "number_input", "Force, t").set_value(14.0).run()
    assert any("Not possible with this press: step 2" in each.value for each in page.warning)
    page.button(key="fit_day").click().run()
    assert any("towards the tip" in each.value for each in page.markdown)
    steps = len(page.session_state.good.forging)
    page.button(key="take_day").click().run()
    assert not page.exception
    assert len(page.session_state.good.forging) > steps
    assert any("Possible with this press" in each.value for each in page.success)
    page.radio(key="day_tool").set_value("hammer").run()
    assert not page.exception
    control(page, "number_input", "Falling mass, kg")
