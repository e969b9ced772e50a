"""The page that turns the blade, in a real browser that draws by software: its picture against our own, and its law."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import binary_erosion

from preview.base.pictures import linear_luminance
from preview.in_hand.page import Version, turning_choice, turning_page
from preview.look.etch import lightness_of
from preview.pipeline import preview
from tests.in_hand.straight_on import SEED, seen_through, shown_at, wave
from tests.page.browsing import ARGUMENTS, CHROMIUM, IN_BROWSER

pytestmark = IN_BROWSER
DRAWN = [each for each in ARGUMENTS if each != "--disable-gpu"] + [
    "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist",
    "--force-color-profile=srgb",
]  # fmt: skip
SCALE = 10.0
ROOM = 12


@pytest.fixture
def opened(tmp_path):
    """Return a way to open a page file: in a browser with or without a way to draw, of a size in pixels."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browsers = []

        def opened(text, size=(1540, 640), arguments=DRAWN, **more):
            path = tmp_path / "blade.html"
            path.write_text(text, encoding="utf-8")
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=arguments)
            browsers.append(browser)
            page = browser.new_page(
                viewport={"width": size[0], "height": size[1]}, **{"reduced_motion": "reduce", **more}
            )
            page.said, page.asked = [], []
            page.on("console", lambda message: page.said.append(message.text))
            page.on("pageerror", lambda error: page.said.append(str(error)))
            page.on("request", lambda request: page.asked.append(request.url))
            page.goto(path.as_uri())
            return page

        yield opened
        for browser in browsers:
            browser.close()


def taken(page, **held):
    """Return the canvas as the blade is held, sRGB ``(rows, columns, 3)``, without scratches and grain."""
    page.wait_for_function("window.hand && hand.frames > 0", timeout=60_000)
    page.evaluate("held => { hand.set({ rough: 0, ...held }); hand.draw(); hand.gl.finish(); }", held)
    page.wait_for_timeout(600)
    return np.asarray(Image.open(io.BytesIO(page.locator("canvas").screenshot())).convert("RGB"), dtype=float)


@pytest.mark.usefixtures("_plain_light")
def test_straight_on_the_page_shows_our_own_picture(make, opened):
    """Within 1.5 grey levels of root mean square on the blade; no request but the file, no word on the console."""
    job = wave(make)
    page = opened(turning_page(job, px_per_mm=SCALE))
    canvas = taken(page)
    along, across, span = seen_through(job, canvas.shape[:2], room=ROOM)
    assert canvas.shape[1] / span == pytest.approx(SCALE, rel=0.01)
    shown = preview(job, px_per_mm=SCALE)
    ours = shown_at(shown, along, across)
    inside = binary_erosion(job.blade.outline.contains(along, across), iterations=3)
    off = (canvas - ours)[inside]
    assert np.sqrt((off**2).mean()) < 1.5
    assert [url.split(":")[0] for url in page.asked] == ["file"]
    assert page.said == []


@pytest.mark.parametrize("tint", ["blue-black", "coffee"])
def test_an_even_studio_shows_both_steels_at_their_lightness_however_it_is_held(make, opened, tint):
    """Within 1 of L*, CIE 15:2018."""
    job = make(
        seed=SEED, light={"studio": "even", "tilt": 5}, forging=[{"step": "consolidate"}],
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.0},
            {"name": "bright", "colours": ["white"], "nickel": 60.0},
        ],
        etch={"minutes": 600, "bright": 75, "dark": 30, "tint": tint},
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
    )  # fmt: skip
    page = opened(turning_page(job, px_per_mm=3), size=(900, 700))
    for held in (
        {},
        {"pitch": 30, "yaw": 25},
        {"pitch": -45},
        {"yaw": -50, "roll": 30},
        {"yaw": 180, "light": 60, "lift": 30},
    ):
        canvas = linear_luminance(np.uint8(taken(page, **{"pitch": 0, "yaw": 0, "roll": 0, **held})))
        told = sorted(lightness_of(canvas[steel].mean()) for steel in steels(page, canvas.shape))
        assert told == [pytest.approx(30, abs=1), pytest.approx(75, abs=1)], held


def steels(page, shape):
    """Return slices of the canvas on the face that is seen: about the middles of its dark and of its bright half."""
    span = page.evaluate("hand.span()")
    turn = np.array(page.evaluate("hand.turned()")).reshape(3, 3)
    for along in (-18, 12):
        x, y, z = turn @ (along, 4, 0)
        near = 480 / (480 - z) * shape[1] / span
        column, row = int(shape[1] / 2 + x * near), int(shape[0] / 2 - y * near)
        yield slice(row - 4, row + 5), slice(column - 4, column + 5)


def test_hands_turn_it_and_light_it(make, opened):
    page = opened(turning_page(wave(make), px_per_mm=2), size=(390, 700), has_touch=True)
    page.wait_for_function("window.hand && hand.frames > 0", timeout=60_000)

    def state(name):
        return page.evaluate(f"hand.{name}")

    canvas = page.locator("canvas")
    canvas.focus()
    for key, name, by in (
        ("ArrowRight", "yaw", 3), ("ArrowDown", "pitch", 3), ("l", "light", 5), ("q", "roll", 3), ("f", "yaw", 180)
    ):  # fmt: skip
        before = state(name)
        page.keyboard.press(key)
        assert state(name) == pytest.approx(before + by)
    page.keyboard.press("Home")
    assert [state(name) for name in ("yaw", "pitch", "roll", "light", "zoom")] == [0, 0, 0, 0, 1]
    page.mouse.move(150, 300)
    page.mouse.down()
    page.mouse.move(200, 280)
    page.mouse.up()
    assert (state("yaw"), state("pitch")) == (pytest.approx(11), pytest.approx(-4.4))
    page.mouse.wheel(0, -350)
    page.wait_for_function("hand.zoom > 1.5")
    page.get_by_role("slider", name="Light").fill("40")
    assert state("light") == 40
    page.get_by_role("button", name="Other face").click()
    assert state("yaw") == pytest.approx(191)
    assert all(
        box["height"] >= 44
        for box in (each.bounding_box() for each in page.get_by_role("button").all() if each.is_visible())
    )
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.slow
def test_versions_take_turns_in_the_hand_held_alike(make, opened):
    first = wave(make)
    outline = first.blade.outline.model_copy(update={"length": 90.0, "tang": 40.0})
    short = first.model_copy(update={"blade": first.blade.model_copy(update={"outline": outline})})
    page = opened(
        turning_choice((Version(first, "A · Long & <low>", "One"), Version(short, "B · Short", "Two")), px_per_mm=2),
        size=(700, 500),
    )
    before = taken(page, yaw=20)
    page.get_by_role("radio", name="B · Short").click()
    page.locator("#choices").get_by_text("Two").wait_for()
    assert not page.locator("#choices").get_by_text("One").is_visible()
    now = taken(page)
    assert page.evaluate("hand.yaw") == 20
    assert np.abs(now - before).mean() > 3
    page.get_by_role("radio", name="A · Long & <low>").click()
    page.locator("#choices").get_by_text("One").wait_for()
    assert np.abs(taken(page) - before).mean() < 0.5
    assert page.said == []


@pytest.mark.parametrize("more", [{"java_script_enabled": False}, {}])
def test_without_a_way_to_draw_it_there_are_words_and_a_picture(make, opened, more):
    page = opened(turning_page(wave(make), px_per_mm=2), arguments=[*ARGUMENTS, "--disable-3d-apis"], **more)
    page.get_by_text("This browser cannot turn the blade").wait_for()
    picture = page.get_by_role("img", name="Both faces")
    assert picture.is_visible()
    assert not page.locator("canvas").is_visible()
