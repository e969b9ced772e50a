"""The day at the forge on the page: own tools, whether they manage it, and the work fitted to them."""

from __future__ import annotations

from preview.day.shop_file import load_shop
from preview.day.tools import Shop
from preview.job.faults import make_settings
from tests.conftest import DEMOS
from tests.page.visiting import control, open_panel, visit


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
    control(page, "radio", "Forge with").set_value("hammer").run()
    assert not page.exception
    assert control(page, "number_input", "Falling mass, kg").value == 50
    control(page, "selectbox", "Blow from").set_value("energy").run()
    control(page, "number_input", "Energy of a blow, J")


def test_tools_are_opened_kept_and_reckoned_with():
    """A shop file of every part: what it says stands in the boxes, and is what is kept again."""
    page = visit()
    page.session_state["below"] = "The day"
    page.run()
    text = (DEMOS / "shops" / "press_25t.toml").read_bytes()
    page.file_uploader(key="open_shop").set_value(("mine.toml", text, "application/toml")).run()
    assert not page.exception
    assert control(page, "number_input", "Travel, mm").value == 500
    assert control(page, "text_input", "Contact wheels, mm").value == "250, 350"
    assert control(page, "number_input", "A kilogram of nickel").value == 65
    assert any("a press of 25 t" in each.value for each in (*page.success, *page.warning))
    assert make_settings(Shop, _kept(page), "shop") == load_shop(DEMOS / "shops" / "press_25t.toml")
    control(page, "number_input", "A can").set_value(None)
    page.session_state["inches"], page.session_state["day_batch"], page.session_state["day_blades"] = True, True, 3
    page.run()
    assert not page.exception
    assert any("3 blades: 3 cans" in each.value.replace("\\", "") for each in page.markdown)
    assert control(page, "text_input", "Contact wheels, in").value == "9.84252, 13.7795"
    assert _kept(page)["grinder"]["wheels"] == [250, 350]
    open_panel(page, "Hand over", "Sheets")
    page.selectbox(key="sheet_kind").set_value("shop").run()
    assert page.checkbox(key="sheet_day").value
    assert not page.exception


def _kept(page):
    table = page.session_state.shop
    return {part: table[part] for part in Shop.model_fields if part in table}
