"""Dividers on the page: the insert first, the ordinary walls, and own ones."""

from __future__ import annotations

import pytest

from tests.page.visiting import control, open_panel, visit


@pytest.fixture
def page():
    started = visit(demo="wrung_out")
    open_panel(started, "Fill the can", "Dividers")
    return started


def words(page) -> str:
    return " ".join(each.value for each in page.markdown)


def test_the_insert_comes_first_and_what_cannot_be_is_told_in_a_line(page):
    assert not page.error
    told = words(page)
    assert "with spiral printing (a vase) on, one outline, no top, no filling, no bottom, a bead 0.4 mm wide" in told
    assert "spiral printing off" not in told  # the walls for ordinary printing stay folded away
    assert [each.label for each in page.get("download_button")] == [
        "All of these (ZIP)",
        "STL",
        "3MF",
        "SVG",
        "DXF",
        "Text",
    ]
    control(page, "number_input", "Base, mm").set_value(0.6).run()
    assert "a bottom 0.6 mm thick, which burns out with the walls" in words(page)
    control(page, "number_input", "Bed width, mm").set_value(10.0).run()
    assert not page.exception
    assert page.error[0].value.startswith("- Bed: a bed of 10 x 220 x 250 mm is too small for an insert of")
    assert not [each for each in page.get("download_button") if each.label == "All of these (ZIP)"]


def test_own_dividers_have_their_gaps_named_and_closed(page):
    wide, high = page.session_state.good.pattern_area
    lines = f"M 10 0 V {high} M 10 {high / 2} H 20 M 20 {high / 2 + 0.02} V {high}"
    page.file_uploader(key="own_dividers").set_value((
        "mine.svg",
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">'
        f'<path d="{lines}" fill="none" stroke="black"/></svg>'.encode(),
        "image/svg+xml",
    )).run()  # fmt: skip
    assert not page.exception
    assert "holds nothing apart and is left out" in words(page)
    control(page, "number_input", "Close gaps up to, mm").set_value(0.05).run()
    assert not page.exception
    assert "gaps of up to 0.02 mm are closed" in words(page)
    assert "left out" not in words(page)
