"""The corners of a photographed sheet, set on the photograph by mouse, finger and keys, in a real browser."""

from __future__ import annotations

import time

import numpy as np
import pytest
from PIL import Image

from tests.page.browsing import IN_BROWSER, drag, middle, settled, turn_to
from tests.support.photo import Scene, drawing, photograph

pytestmark = IN_BROWSER

SCENE = Scene(seed=3, size=(800, 600), blur=0.7)
NAMES = ("Upper left", "Upper right", "Lower right", "Lower left")


@pytest.fixture(scope="module")
def photo(tmp_path_factory):
    """Return a photograph whose corners are known; it lies on its side, and its EXIF mark (JEITA CP-3451) turns it."""
    path, exif = tmp_path_factory.mktemp("photo") / "sketch.jpg", Image.Exif()
    exif[0x0112] = 6
    upright = Image.fromarray(photograph(SCENE, drawing(3, 1)))
    upright.transpose(Image.Transpose.ROTATE_90).save(path, quality=92, exif=exif)
    return path


def chosen(page, photo):
    """Choose the photograph, and return the four rings on it."""
    from playwright.sync_api import expect

    turn_to(page, "Your drawings", "Sketch")
    expect(page.get_by_text("Pencil, felt pen or ink")).to_be_visible()
    page.locator("input[type=file]").first.set_input_files(photo)
    rings = [page.get_by_role("application", name=f"{name} corner") for name in NAMES]
    expect(rings[0]).to_be_visible()
    expect(page.get_by_alt_text("The pattern that it becomes.")).to_be_visible()
    settled(page)
    rings[2].scroll_into_view_if_needed()
    return rings


def places(page, rings) -> np.ndarray:
    """Return where the rings stand on the photograph, in shares of its sides."""
    box = page.get_by_alt_text("The photograph of the sheet.").bounding_box()
    corner, size = np.array([box["x"], box["y"]]), np.array([box["width"], box["height"]])
    return (np.array([middle(ring.bounding_box()) for ring in rings]) - corner) / size


def stand(page, rings, expected, within=0.002):
    """Wait until the rings stand where they are expected; 0.002 is a pixel of the screen."""
    end = time.monotonic() + 60
    while np.abs(places(page, rings) - expected).max() > within:
        assert time.monotonic() < end, places(page, rings) - expected
        page.wait_for_timeout(100)


def reads(page, name: str, share: float):
    """Wait until a number reads a share in hundredths, as near as a pixel of the screen tells it."""
    end = time.monotonic() + 60
    while float(number(page, name).input_value()) != pytest.approx(100 * share, abs=0.2):
        assert time.monotonic() < end, f"{name}: {number(page, name).input_value()}, not {100 * share}"
        page.wait_for_timeout(100)


def straight(page) -> str:
    return page.get_by_alt_text("The drawing, laid straight.").get_attribute("src")


def number(page, name: str):
    return page.get_by_role("spinbutton", name=name, exact=True)


def test_corners_are_set_by_mouse_keys_and_numbers(page, photo):
    from playwright.sync_api import expect

    rings = chosen(page, photo)
    found = SCENE.corners
    stand(page, rings, found, within=0.004)
    page.get_by_text("Corners and crop in numbers").click()
    reads(page, "Lower right, across", places(page, rings)[2, 0])
    settled(page)
    rings[0].scroll_into_view_if_needed()

    before, start = straight(page), middle(rings[2].bounding_box())
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0] - 25, start[1] - 10)
    page.mouse.move(start[0] - 50, start[1] - 20)
    page.wait_for_timeout(400)
    assert straight(page) == before  # nothing is sent while the hand holds it
    page.mouse.up()
    expect(page.get_by_alt_text("The drawing, laid straight.")).not_to_have_attribute("src", before)
    settled(page)
    assert middle(rings[2].bounding_box()) == pytest.approx((start[0] - 50, start[1] - 20), abs=1)
    moved = places(page, rings)
    stand(page, rings[:2], found[:2], within=0.004)
    reads(page, "Lower right, across", moved[2, 0])

    rings[2].press("Escape")
    expect(page.get_by_alt_text("The drawing, laid straight.")).to_have_attribute("src", before)
    stand(page, rings, found, within=0.004)
    settled(page)

    start = places(page, rings)
    rings[0].press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Tab")
    expect(rings[1]).to_be_focused()
    page.keyboard.press("ArrowLeft")
    start[:2] += [[0.001, 0.01], [-0.001, 0]]
    stand(page, rings, start)
    reads(page, "Upper left, down", start[0, 1])
    settled(page)
    expect(rings[1]).to_be_focused()

    number(page, "Lower left, across").fill("25")
    number(page, "Lower left, across").press("Enter")
    start[3, 0] = 0.25
    stand(page, rings, start)
    settled(page)
    page.get_by_role("button", name="Find them again").click()
    stand(page, rings, found, within=0.004)
    settled(page)

    ends = [middle(ring.bounding_box()) for ring in rings]
    drag(page, ends[2], np.subtract(ends[0], ends[2]) - 20)  # beyond the corner across from it
    expect(page.get_by_text("the sheet's corners cross each other")).to_be_visible()
    expect(page.get_by_alt_text("The photograph of the sheet.")).to_be_visible()
    expect(page.get_by_role("button", name="Find them again")).to_be_enabled()


def test_a_corner_is_set_by_a_finger(browser, address, photo):
    from playwright.sync_api import expect

    page = browser.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    page.set_default_timeout(60_000)
    page.goto(address)
    settled(page)
    rings = chosen(page, photo)
    for ring in rings:  # WCAG 2.2, 2.5.8: targets of at least 24 px
        assert min(ring.bounding_box()["width"], ring.bounding_box()["height"]) >= 24
    before, (x, y) = straight(page), middle(rings[2].bounding_box())
    finger = page.context.new_cdp_session(page)

    def touch(kind, *spots):
        points = [{"x": right, "y": down} for right, down in spots]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", (x, y))
    touch("touchMove", (x - 10, y - 5))
    touch("touchMove", (x - 24, y - 12))
    loupe = page.locator(".loupe").bounding_box()  # beside the finger, which hides the corner
    assert np.hypot(*np.subtract(middle(loupe), (x - 24, y - 12))) > loupe["width"] / 2
    touch("touchEnd")
    expect(page.get_by_alt_text("The drawing, laid straight.")).not_to_have_attribute("src", before)
    settled(page)
    assert middle(rings[2].bounding_box()) == pytest.approx((x - 24, y - 12), abs=1)
    page.close()
