"""Look before you cut, on the page: a photograph is laid on the work, used, and forgotten."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from tests.conftest import DEMOS
from tests.page.visiting import open_panel, press, shelf, visit


@pytest.mark.slow
def test_the_work_goes_by_a_photograph_until_that_is_forgotten():
    page = visit()
    open_panel(page, "Try grinds", "Look before you cut")
    assert any("Take it squarely" in each.value for each in page.info)
    blank = io.BytesIO()
    Image.new("RGB", (1600, 1000), (120, 120, 120)).save(blank, "JPEG")
    page.file_uploader(key="steel_photo").set_value(("blank.jpg", blank.getvalue(), "image/jpeg")).run()
    assert any("No bar or blade is found on it" in each.value for each in page.warning)
    assert page.button(key="lay_photo").disabled
    photo = (DEMOS / "marsh_moon_bar.jpg").read_bytes()
    page.file_uploader(key="steel_photo").set_value(("bar.jpg", photo, "image/jpeg")).run()
    points = page.session_state[f"steel of {page.file_uploader(key='steel_photo').value.file_id}"]["points bar right"]
    points["marks"].append(((5.0, 5.0), (150.0, 20.0)))  # on the cloth
    press(page, "Lay it on my work")
    assert any("Point 1: its pixel lies" in each.value for each in page.error)
    points["marks"].clear()
    press(page, "Lay it on my work")
    assert any(each.value.startswith("**This is your steel.**") for each in page.success)
    press(page, "Use what was seen")
    seen = page.session_state.good.found
    assert seen is not None
    assert any("the pattern as your photograph has it" in each.value for each in page.caption)
    press(page, "Where to cut")
    assert page.session_state["Try grinds"] == "Where to cut"
    assert any(each.label == "Find the place" for each in page.button)
    assert any(each.value.startswith("**Measure the bar first.**") for each in page.markdown)
    measured = [each for each in page.number_input if each.label.startswith(("Its length", "Its width"))]
    assert [each.value for each in measured] == [None, None]  # what was reckoned is not taken for measured
    open_panel(page, "Try grinds", "Look before you cut")
    id = page.session_state.job
    assert shelf(page).open(id).found == seen  # kept, and read again
    page.session_state.table["can"]["length"] += 10
    page.run()
    assert any("What your photograph showed" in each.value for each in page.error)
    press(page, "Forget the photograph")
    assert not page.error
    assert page.session_state.good.found is None
    assert shelf(page).go_to(id, shelf(page).before(id)).found == seen  # what undoing leads to
    assert page.session_state.good.can.length == page.session_state.table["can"]["length"]
