"""The slider in a real browser: the blade follows it while it moves, and the whole of a move is one change."""

from __future__ import annotations

import pytest

from tests.page.browsing import IN_BROWSER, blade, drawn, middle, settled, turn_to, wait_for_sharp, wait_until_drawn

pytestmark = IN_BROWSER
COUNT = """
() => {
  const shown = () => document.querySelector(".st-key-faces img").src;
  window.pictures = [shown()];
  new MutationObserver(() => { if (shown() !== window.pictures.at(-1)) window.pictures.push(shown()); })
    .observe(document.querySelector(".st-key-faces"), { subtree: true, attributes: true, childList: true });
}
"""
"""Notes each picture of the blade."""


def slider(page, label: str = "Grind height, mm"):
    return page.get_by_role("slider", name=label)


def box(page, label: str = "Grind height, mm"):
    return page.get_by_role("spinbutton", name=label)


def greyed(page) -> bool:
    return box(page).evaluate("each => Boolean(each.closest('[style*=opacity]'))")


def pictures(page) -> int:
    return page.evaluate("window.pictures.length")


def hold(page, label: str = "Grind height, mm") -> tuple[float, float]:
    """Put the mouse on the middle of a slider and press; return where that is."""
    there = slider(page, label)
    box = None
    while box is None or box != there.bounding_box():  # until what is above it has come
        settled(page)
        there.scroll_into_view_if_needed()
        box = there.bounding_box()
        page.wait_for_timeout(300)
    across, down = middle(box)
    page.mouse.move(across, down)
    page.mouse.down()
    return across, down


def test_the_blade_follows_and_one_drag_is_one_change(page):
    from playwright.sync_api import expect

    assert page.get_by_role("button", name="Undo").is_disabled()
    page.evaluate(COUNT)
    across, down = hold(page)
    for step in range(1, 5):  # a picture at each place, while the mouse is held
        before = pictures(page)
        page.mouse.move(across - 15 * step, down, steps=3)
        page.wait_for_function(f"window.pictures.length > {before}")
    expect(box(page)).to_have_value("34")
    assert greyed(page)  # it has the number of before
    followed = page.evaluate("window.pictures.slice(1)")
    assert len(set(followed)) == len(followed) >= 4
    page.mouse.up()
    expect(box(page)).not_to_have_value("34")
    assert not greyed(page)
    # the number beside it is where it was let go, and its picture is that of this number typed
    let_go = box(page).input_value()
    assert slider(page).input_value() == let_go
    page.wait_for_function("document.querySelector('.st-key-faces img').naturalWidth > 1000")
    settled(page)
    dragged = drawn(page)
    page.get_by_role("button", name="Undo").click()
    expect(box(page)).to_have_value("34")
    expect(slider(page)).to_have_value("34")
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    box(page).fill(let_go)
    box(page).press("Enter")
    expect(slider(page)).to_have_value(let_go)
    wait_until_drawn(page, dragged)


def test_escape_takes_a_drag_back(page):
    """The sharp picture stands there again, though it was there before; nothing has changed."""
    from playwright.sync_api import expect

    sharp = drawn(page)
    page.evaluate(COUNT)
    across, down = hold(page)
    page.mouse.move(across - 20, down)
    page.wait_for_function("window.pictures.length > 1")
    page.keyboard.press("Escape")
    page.mouse.move(across - 40, down)
    page.mouse.up()
    expect(slider(page)).to_have_value("34")
    wait_until_drawn(page, sharp)
    settled(page)
    expect(slider(page)).to_have_value("34")
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_keys(page):
    """Arrows go to the next round step, page keys ten times as far, Home and End to the ends; a run is one change."""
    from playwright.sync_api import expect

    for key, value in (
        ("ArrowLeft", "33.9"), ("ArrowDown", "33.8"), ("PageDown", "30.3"), ("End", "46"), ("ArrowRight", "46"),
        ("Home", "11.5"), ("PageUp", "15"), ("ArrowUp", "15.1"),
    ):  # fmt: skip
        slider(page).press(key)
        expect(slider(page)).to_have_value(value)
    expect(slider(page)).to_have_attribute("aria-valuetext", "15.1\u00a0mm")
    expect(box(page)).to_have_value("15.1")
    page.get_by_role("button", name="Undo").click()
    expect(box(page)).not_to_have_value("15.1")
    slider(page, "Grind angle").press("ArrowRight")  # from wherever it stands to a round number
    expect(slider(page, "Grind angle")).to_have_value(value := slider(page, "Grind angle").input_value())
    assert float(value) * 10 == pytest.approx(round(float(value) * 10))


@pytest.mark.parametrize(("wide", "least"), [(1400, 24), (390, 44)])
def test_it_is_a_target_for_a_finger_and_shows_where_the_focus_is(browser, address, wide, least):
    """WCAG 2.2, 2.5.8 asks for 24 px, 2.5.5 for 44; 2.4.7 for a focus that is seen."""
    page = browser.new_page(viewport={"width": wide, "height": 844}, color_scheme="dark")
    page.set_default_timeout(60_000)
    page.goto(address)
    settled(page)
    there = slider(page)
    assert there.bounding_box()["height"] >= least
    there.focus()
    page.keyboard.press("ArrowLeft")
    assert there.evaluate("each => getComputedStyle(each).outlineWidth") == "3px"
    page.close()


def test_the_light_is_followed_too_and_what_is_not_the_blade_has_its_own_follower(page):
    page.get_by_text("Etch and light", exact=True).click()
    slider(page, "Light from").wait_for()
    settled(page)
    page.evaluate(COUNT)
    across, down = hold(page, "Light from")
    page.mouse.move(across + 30, down)
    page.wait_for_function("window.pictures.length > 1")
    page.mouse.up()
    wait_for_sharp(page)
    settled(page)
    # what is cut or worn follows its own slider, and the blade stays as it is
    standing = blade(page).get_attribute("src")
    for tab, label, place in (("Cross-section", "Cut at", "section"), ("After years", "Sharpened away", "worn")):
        turn_to(page, "Look closer", tab)
        picture = page.locator(f".st-key-{place} img")
        before, wide = picture.evaluate("each => [each.src, each.naturalWidth]")
        across, down = hold(page, label)
        page.mouse.move(across + 40, down)
        shown = f"document.querySelector('.st-key-{place} img')"
        page.wait_for_function(f"before => {shown}.src !== before", arg=before)
        followed = picture.get_attribute("src")
        page.mouse.up()
        page.wait_for_function(f"{shown}.naturalWidth === {wide}")
        settled(page)
        assert picture.get_attribute("src") not in {before, followed}
        assert blade(page).get_attribute("src") == standing
