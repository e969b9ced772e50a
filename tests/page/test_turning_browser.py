"""The blade in the hand on the page: in its panel, and for a client."""

from __future__ import annotations

from tests.page.browsing import IN_BROWSER, settled, turn_to

pytestmark = IN_BROWSER
FRAME = "iframe[title$='to be turned']"


def test_the_blade_is_in_its_panel_and_can_be_taken_along(page):
    from playwright.sync_api import expect

    turn_to(page, "In the hand")
    frame = page.frame_locator(FRAME)
    expect(frame.locator("canvas, #flat img").locator("visible=true")).to_be_visible()
    for name in ("For any browser (one page)", "For other programs (GLB)"):
        expect(page.get_by_role("button", name=name)).to_be_visible()
    with page.expect_download() as taken:
        page.get_by_role("button", name="For any browser (one page)").click()
    assert taken.value.suggested_filename.endswith(".html")


def test_a_client_may_turn_it(page):
    from playwright.sync_api import expect

    page.goto(f"{page.url.split('?')[0]}?view=client")
    settled(page)
    page.get_by_role("button", name="Turn it in your hand").click()
    expect(page.frame_locator(FRAME).locator("canvas, #flat img").locator("visible=true")).to_be_visible()


def test_years_of_sharpening_are_shown(page):
    from playwright.sync_api import expect

    turn_to(page, "After years")
    expect(page.get_by_alt_text("Both faces once 3.0 mm of the edge are sharpened away.")).to_be_visible()
    slider = page.get_by_role("slider", name="Sharpened away from the edge")
    slider.focus()
    slider.press("End")
    expect(page.get_by_alt_text("Both faces once 15.0 mm of the edge are sharpened away.")).to_be_visible()
    expect(page.get_by_role("cell", name="15.0 mm", exact=True)).to_be_visible()
