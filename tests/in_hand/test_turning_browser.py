"""The page that turns the blade, in a real browser that draws by software: its picture against our own, and its law."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import binary_erosion

from preview.base.pictures import linear_luminance
from preview.in_hand.page import hand_page
from preview.in_hand.page_words import Version
from preview.look.etch import lightness_of
from tests.in_hand.straight_on import SEED, seen_through, shown_at, wave
from tests.page.browsing import ARGUMENTS, CHROMIUM, IN_BROWSER, middle

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

        def opened(text, size=(1540, 800), arguments=DRAWN, **more):
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
    page.wait_for_function("window.hand && hand.drawn > 0", timeout=60_000)
    page.evaluate("held => { hand.set({ rough: 0, ...held }); hand.sharp(); hint.hidden = true; }", held)
    page.wait_for_timeout(100)
    return np.asarray(Image.open(io.BytesIO(page.locator("canvas").screenshot())).convert("RGB"), dtype=float)


@pytest.mark.usefixtures("_plain_light")
def test_straight_on_the_page_shows_our_own_picture(make, opened):
    """Within 1.5 grey levels rms on all of the blade; no request but the file, no word on the console."""
    job = wave(make)
    page = opened(hand_page((Version(job),), px_per_mm=SCALE))
    canvas = taken(page)
    along, across, span = seen_through(job, canvas.shape[:2], room=ROOM)
    assert canvas.shape[1] / span == pytest.approx(SCALE, rel=0.01)
    ours = shown_at(job, SCALE, along, across)
    inside = binary_erosion(job.blade.outline.contains(along, across), iterations=3)
    assert np.sqrt(((canvas - ours)[inside] ** 2).mean()) < 1.5
    assert_dark_below_and_never_black(page)
    assert_the_shadow_flees_the_light(page)
    assert [url.split(":")[0] for url in page.asked] == ["file"]
    assert page.said == []


def test_an_even_studio_shows_both_steels_at_their_lightness_however_it_is_held(make, opened):
    """Within 1 of L*, CIE 15:2018."""
    job = make(
        seed=SEED, light={"studio": "even", "tilt": 5}, forging=[{"step": "consolidate"}],
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.0},
            {"name": "bright", "colours": ["white"], "nickel": 60.0},
        ],
        etch={"minutes": 600, "bright": 75, "dark": 30, "tint": "coffee"},
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
    )  # fmt: skip
    page = opened(hand_page((Version(job),), px_per_mm=3), size=(900, 700))
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


def assert_dark_below_and_never_black(page):
    """However it is turned, the steel sends light back, and the paper is dark below both ends, not above them."""
    for held in ({"yaw": 55, "pitch": 0}, {"yaw": -55, "pitch": 20}, {"yaw": 0, "pitch": 75}):
        canvas = linear_luminance(np.uint8(taken(page, zoom=0.7, **held)))
        span, turn = page.evaluate("hand.span()"), np.array(page.evaluate("hand.turned()")).reshape(3, 3)
        steel = [canvas[around(turn, (along, -4, 0), canvas.shape, span)] for along in np.linspace(-30, 30, 13)]
        assert np.max([each.mean() for each in steel]) > 0.15, held
        if held["yaw"]:
            for along in (-45, 35):
                below, above = (canvas[around(turn, (along, up, 0), canvas.shape, span)].mean() for up in (-22, 21))
                assert below < 0.93 * above, held


def assert_the_shadow_flees_the_light(page):
    """With the light on one side the paper is darker close to the blade's other end than farther away from it."""
    for light, beside in ((50, -1), (-50, 1)):
        canvas = linear_luminance(np.uint8(taken(page, yaw=0, pitch=0, zoom=0.6, light=light)))
        span, turn = page.evaluate("hand.span()"), np.array(page.evaluate("hand.turned()")).reshape(3, 3)
        close, away, lit = (
            canvas[around(turn, (beside * along, -12, 0), canvas.shape, span)].mean() for along in (75, 110, -75)
        )
        assert close < 0.9 * away, (light, close, away)
        assert close < 0.7 * lit, (light, close, lit)


def around(turn, place, shape, span, reach=4):
    """Return slices of the canvas round a place of the blade, mm from its middle."""
    x, y, z = turn @ place
    near = 480 / (480 - z) * shape[1] / span
    column, row = int(shape[1] / 2 + x * near), int(shape[0] / 2 - y * near)
    return slice(row - reach, row + reach + 1), slice(column - reach, column + reach + 1)


def steels(page, shape):
    """Return slices of the canvas on the face that is seen: about the middles of its dark and of its bright half."""
    span = page.evaluate("hand.span()")
    turn = np.array(page.evaluate("hand.turned()")).reshape(3, 3)
    return [around(turn, (along, 4, 0), shape, span) for along in (-18, 12)]


def test_hands_turn_it_and_light_it(make, opened):
    page = opened(
        hand_page((Version(wave(make), sure=("Near enough.",)),), px_per_mm=2), size=(390, 700), has_touch=True
    )
    page.wait_for_function("window.hand && hand.drawn > 0", timeout=60_000)

    def state(name):
        return page.evaluate(f"hand.{name}")

    canvas, hint, told = page.locator("canvas"), page.locator("#hint"), page.locator("#told .told")
    assert hint.is_visible()
    box, low = hint.bounding_box(), canvas.bounding_box()
    # a line of its own below the blade, which is upright
    assert (box["width"], box["y"]) == (390, pytest.approx(low["y"] + low["height"], abs=1))
    assert hint.inner_text() == "Drag to turn, two fingers to zoom; held sideways it lies flat"
    assert hint.evaluate("hint => hint.scrollWidth <= hint.clientWidth")
    page.mouse.click(150, 300)
    assert canvas.evaluate("canvas => canvas.matches(':focus') && !canvas.matches(':focus-visible')")
    assert not told.is_visible()
    page.get_by_text("How sure").click()
    assert told.get_by_text("Near enough").is_visible()
    assert page.locator("#under").evaluate("panel => panel.clientHeight < 0.47 * innerHeight")
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
    assert hint.is_visible()  # the line stays, so that nothing moves
    page.wait_for_function("(canvas => canvas.width === canvas.clientWidth)(document.querySelector('canvas'))")  # sharp
    page.evaluate("hand.set({ pitch: 85 })")
    assert state("pitch") == 60  # upright, further would be end on
    page.evaluate("hand.set({ pitch: -4.4 })")
    page.mouse.wheel(0, -350)
    page.wait_for_function("hand.zoom > 1.5")
    page.mouse.dblclick(150, 300)
    assert (state("zoom"), state("beside")) == (1, 0)
    page.mouse.dblclick(150, 300)
    assert state("zoom") == 3
    page.evaluate("hand.set({ zoom: 10, beside: 500, above: -300 })")
    assert (abs(state("beside")) < 15 + 6, abs(state("above")) < 65 + 6) == (True, True)  # it is 30 by 130 mm
    page.get_by_role("button", name="Whole blade").click()
    assert [state(name) for name in ("zoom", "beside", "above")] == [1, 0, 0]
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
    """By mouse, finger and keyboard; each keeps its words, and all keep the same room."""
    first = wave(make)
    outline = first.blade.outline.model_copy(update={"length": 90.0, "tang": 40.0})
    short = first.model_copy(update={"blade": first.blade.model_copy(update={"outline": outline})})
    steep = first.grind.right.model_copy(update={"height": 8.0})
    low = first.model_copy(update={"grind": first.grind.model_copy(update={"right": steep}), "title": "Low"})
    named = (first, "A · Long & <low>", "One"), (short, "B · Short", "Two"), (low, "C", "Three")
    versions = tuple(Version(job, name, f"differs in {said}", sure=(said, "Of all.")) for job, name, said in named)
    page = opened(hand_page(versions, "by a smith (invented)", px_per_mm=2), size=(800, 600), has_touch=True)
    assert page.get_by_role("heading", name="Versions to choose from").is_visible()
    assert page.get_by_text("by a smith (invented)").first.is_visible()
    assert page.get_by_text("A likely look, not a photograph").is_visible()
    assert page.locator("#choices small").all_inner_texts() == ["differs in One", "differs in Two", "differs in Three"]
    page.evaluate("told.open = true")
    assert page.get_by_text("Of all.", exact=True).count() == 1 + 3  # once, and with each picture that lies still
    shown = {"A": taken(page, yaw=20)}
    boxes = [each.bounding_box() for each in page.locator("#choices label").all()]
    assert all(box["height"] >= 44 and box["width"] >= 44 for box in boxes)
    for name, said, choose in (
        ("B", "Two", lambda: page.mouse.click(*middle(boxes[1]))),
        ("C", "Three", lambda: page.touchscreen.tap(*middle(boxes[2]))),
        ("A again", "One", lambda: page.keyboard.press("ArrowRight")),
    ):
        choose()
        page.locator("#told").get_by_text(said).wait_for()
        assert sum(each.is_visible() for each in page.locator("#told .told").all()) == 1
        shown[name] = taken(page)
    assert page.evaluate("hand.yaw") == 20
    assert all(each.shape == shown["A"].shape for each in shown.values())
    for one, other in (("A", "B"), ("B", "C"), ("C", "A")):
        assert np.abs(shown[one] - shown[other]).max() > 60, (one, other)
    assert np.abs(shown["A again"] - shown["A"]).mean() < 0.5
    assert page.said == []


@pytest.mark.parametrize("more", [{"java_script_enabled": False}, {}])
def test_without_a_way_to_draw_it_there_are_words_and_a_picture(make, opened, more):
    page = opened(hand_page((Version(wave(make)),), px_per_mm=2), arguments=[*ARGUMENTS, "--disable-3d-apis"], **more)
    page.get_by_text("This browser cannot turn the blade").wait_for()
    picture = page.get_by_role("img", name="Both faces")
    assert picture.is_visible()
    assert not page.locator("canvas").is_visible()
