"""What stands out below the blade: what the last change brought, once."""

from __future__ import annotations

import preview
from preview.page.noting import noted
from tests.conftest import DEMOS
from tests.page.visiting import control, visit


def test_only_what_a_change_brought_is_fresh_until_the_next_change():
    first = preview.load_job(DEMOS / "marsh_moon.toml")
    second, third = (first.model_copy(update={"title": title}) for title in ("second", "third"))
    opened = noted(None, first, frozenset({"bites", "side"}))
    assert opened.fresh == {"bites", "side"}  # nobody has read them yet
    assert noted(opened, first, frozenset({"bites", "side"})) is opened  # the same again, such as with another tab
    changed = noted(opened, second, frozenset({"side", "tang"}))
    assert changed.fresh == {"tang"}
    back = noted(changed, third, frozenset({"side", "bites"}))
    assert back.fresh == {"bites"}  # it was gone, and is news


def test_a_warning_is_yellow_once_and_grey_after_and_the_picture_leads_to_it():
    page = visit(3)

    def lead() -> str:
        return next((each.value for each in page.markdown if each.value.endswith("(#to-read)")), "")

    control(page, "number_input", "Tang, mm").set_value(250.0).run()
    assert any("The tang reaches" in each.value for each in page.warning)
    assert "1 warning" in lead()
    control(page, "number_input", "Edge before sharpening, mm").set_value(0.4).run()
    assert not any("The tang reaches" in each.value for each in page.warning)
    assert any("The tang reaches" in each.value for each in page.caption)
    assert "warning" not in lead()
    control(page, "selectbox", "Start from").set_value("running_wave").run()
    assert page.warning
