"""Looking at the blade in a real browser: it stays where it is, on every screen, and can be seen close."""

from __future__ import annotations

import time

import pytest

from tests.page.browsing import IN_BROWSER, blade, drawn, frame_of, served, settled, turn_to, wait_for_sharp

pytestmark = IN_BROWSER
FINE = round(20 * frame_of("marsh_moon").size[0])
"""Pixels across the fine picture of the demo: the blade, its handle, and paper on each side, 20 to a millimetre."""


@pytest.fixture(scope="module")
def address():
    """The page as it is: here is watched what comes when, which what others have worked out would hide."""
    with served("app.py") as url:
        yield url


WATCH = """
() => {
  window.seen = [];
  const faces = () => document.querySelector(".st-key-faces"), start = performance.now();
  let last = start - 50;
  const look = now => {
    if (now - last >= 50) {
      last = now;
      const image = faces()?.querySelector("img"), box = image?.getBoundingClientRect();
      let seen = 1;
      for (let at = image; at; at = at.parentElement) seen *= Number(getComputedStyle(at).opacity);
      window.seen.push({ pixels: image?.complete ? image.naturalWidth : 0, opacity: image ? seen : 0,
        top: box?.top, height: box?.height,
        working: getComputedStyle(faces(), "::after").visibility === "visible" });
    }
    window.watching = requestAnimationFrame(look);
  };
  look(start);
}
"""
"""Each 50 ms, of the blade's picture: pixels, how opaque, top and height; and whether the sign of work shows."""


def watched(page, change):
    """Return what was seen of the blade while something changed, and until its page and picture had settled."""
    page.evaluate(WATCH)
    change()
    page.wait_for_function("window.seen.some(each => each.working)")
    settled(page)
    wait_for_sharp(page)
    page.wait_for_timeout(200)
    return page.evaluate("() => { cancelAnimationFrame(window.watching); return window.seen; }")


def number(page, label):
    return page.get_by_role("spinbutton", name=f"{label}, mm").first


def type_into(page, label, text):
    field = number(page, label)
    field.fill(text)
    field.press("Enter")


def test_the_blade_never_goes_and_nothing_moves_it(page):
    for group, awaited in (
        ("In the can", number(page, "Width")),
        ("Forging", page.get_by_role("button", name="Add", exact=True)),
        ("2 · Press", number(page, "Down to")),
    ):
        page.get_by_test_id("stSidebarUserContent").get_by_text(group).click()
        awaited.wait_for()
        settled(page)
    changes = {
        "the can's width": lambda: type_into(page, "Width", "38"),
        "a press's height": lambda: type_into(page, "Down to", "6"),
        "a step more": lambda: page.get_by_role("button", name="Add", exact=True).click(),
    }
    places = set()
    for name, change in changes.items():
        seen = watched(page, change)
        assert all(each["pixels"] > 0 and each["opacity"] == 1 for each in seen), name
        places |= {(round(each["top"]), round(each["height"])) for each in seen}
    assert len(places) == 1, places


@pytest.fixture(scope="module")
def phone(browser, address):
    opened = browser.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    opened.set_default_timeout(60_000)
    opened.goto(address)
    settled(opened)
    yield opened
    opened.close()


def test_a_phone_shows_the_grind_below_the_blade(phone):
    from playwright.sync_api import expect

    assert phone.locator(".st-key-invitation").bounding_box()["height"] <= 844 / 5
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    for tab in phone.get_by_role("tab").all():
        box = tab.bounding_box()
        assert 0 <= box["x"] <= box["x"] + box["width"] <= 390
    slider = phone.get_by_role("slider", name="Grind height")
    slider.focus()
    phone.wait_for_timeout(500)
    above, below = blade(phone).bounding_box(), slider.bounding_box()
    assert 0 <= above["x"] <= above["x"] + above["width"] <= 391
    assert 50 < above["y"] + above["height"] < below["y"] < 844
    assert phone.evaluate(
        "([x, y]) => document.elementFromPoint(x, y) === document.querySelector('.st-key-faces img')",
        [above["x"] + 30, above["y"] + above["height"] / 2],
    )
    before = blade(phone).get_attribute("src")
    slider.press("ArrowRight")
    expect(blade(phone)).not_to_have_attribute("src", before)
    settled(phone)
    above = blade(phone).bounding_box()
    for name, enabled in (("Undo", True), ("Redo", False)):  # the one pair there is, in sight beside the blade
        button = phone.get_by_role("button", name=name, exact=True)
        expect(button).to_be_enabled(enabled=enabled)
        box = button.bounding_box()
        assert min(box["width"], box["height"]) >= 44
        assert above["y"] + above["height"] <= box["y"] < 844 - box["height"]
        assert 0 <= box["x"] < 390 - box["width"]
    phone.get_by_role("button", name="Undo", exact=True).click()
    expect(phone.get_by_role("button", name="Undo", exact=True)).to_be_disabled()
    settled(phone)


def test_on_a_phone_the_controls_at_the_side_leave_the_blade_in_sight(phone):
    phone.get_by_test_id("stExpandSidebarButton").click()
    panel, away = phone.get_by_test_id("stSidebar"), phone.get_by_role("button", name="Collapse sidebar")
    away.wait_for()
    phone.wait_for_timeout(500)
    shown, over = blade(phone).bounding_box(), panel.bounding_box()
    assert 0 <= shown["y"] < shown["y"] + shown["height"] <= over["y"]
    assert (over["x"], over["width"], over["y"] + over["height"]) == (0, 390, 844)
    panel.get_by_text("What is unsure").scroll_into_view_if_needed()
    away.click()  # which stays where it is
    phone.wait_for_timeout(500)
    assert panel.bounding_box()["y"] >= 844


SMALL = """
() => {
  const target = each => ["checkbox", "radio"].includes(each.type) ? each.closest("label")
    : each.matches("[role=combobox]") ? each.closest("[data-testid=stSelectbox] > div") || each : each;
  const reach = each => {  // a slider's thumb reaches farther than its own box
    const box = each.getBoundingClientRect(), [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    return [[-11, 0], [11, 0], [0, -11], [0, 11]].every(([right, down]) =>
      document.elementFromPoint(x + right, y + down)?.closest("[role=group]"));
  };
  return [...document.querySelectorAll(
    "[data-testid=stMain] :is(button, a[href], summary, input, textarea, [role=tab])")]
    .filter(each => each.checkVisibility({ visibilityProperty: true, opacityProperty: true }))
    .filter(each => {
      if (each.type === "range") {
        each.scrollIntoView({ block: "center" });
        return !reach(each.parentElement.parentElement);
      }
      const box = target(each).getBoundingClientRect();
      return Math.min(box.width, box.height) < 24;
    }).map(each => each.outerHTML.slice(0, 160));
}
"""
"""Targets under 24 px, what WCAG 2.2 asks for (2.5.8, AA)."""


def test_targets_are_large_enough_for_a_thumb(phone):
    assert phone.evaluate(SMALL) == []


def looked_at(page):
    """Return where the picture of the close look lies, how many pixels it has, and whether nothing covers it."""
    return page.get_by_role("dialog").locator(".room img").evaluate(
        """image => {
          const box = image.getBoundingClientRect(), dialog = image.closest("dialog");
          const corners = [[box.left + 2, box.top + 2], [box.right - 2, box.bottom - 2]];
          return { left: box.left, top: box.top, right: box.right, bottom: box.bottom,
            wide: Math.max(box.width, box.height), pixels: image.naturalWidth, free: corners.every(([x, y]) =>
              image.getRootNode().elementFromPoint(x, y)?.closest("dialog") === dialog) };
        }"""
    )  # fmt: skip


def fine(page):
    page.wait_for_function(
        f"""() => [...document.querySelectorAll("*")].some(each => Math.abs((each.shadowRoot
          ?.querySelector(".room img")?.naturalWidth ?? 0) - {FINE}) <= 2)"""
    )


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (390, 844)])
def test_a_close_look_shows_the_whole_blade_and_goes_down_to_its_pixels(browser, address, width, height):
    page = browser.new_page(viewport={"width": width, "height": height}, has_touch=True)
    page.set_default_timeout(60_000)
    page.goto(address)
    settled(page)
    page.get_by_role("button", name="Look close").click()
    page.get_by_role("dialog").locator(".room img").wait_for()
    whole = looked_at(page)
    assert whole["free"]
    assert min(whole["left"], whole["top"]) >= -1
    assert whole["right"] <= width + 1
    assert whole["bottom"] <= height - 50  # where the buttons are
    assert whole["wide"] > 0.85 * max(width, height)  # on a phone the blade stands upright
    assert abs(whole["pixels"] - wait_for_sharp(page)) <= 2  # the picture of the page: nothing was fetched for it

    for _ in range(20):
        page.keyboard.press("+")
    fine(page)
    near = looked_at(page)
    assert near["wide"] >= FINE
    assert abs(near["pixels"] - FINE) <= 2
    page.keyboard.press("ArrowRight")
    assert looked_at(page)["left"] == pytest.approx(near["left"] - 60, abs=1)
    page.keyboard.press("0")
    assert looked_at(page)["wide"] == pytest.approx(whole["wide"], abs=1)

    x, y = width / 2, (whole["top"] + whole["bottom"]) / 2
    page.mouse.move(x, y)
    page.mouse.wheel(0, -500)
    end = time.monotonic() + 60
    while (wheeled := looked_at(page))["wide"] <= 1.5 * whole["wide"]:
        assert time.monotonic() < end, wheeled
        page.wait_for_timeout(100)
    assert (wheeled["left"] + wheeled["right"]) / 2 == pytest.approx(x, abs=2)  # what lies under the mouse stays there
    page.keyboard.press("0")

    fingers = page.context.new_cdp_session(page)
    for kind, apart in (("touchStart", 40), ("touchMove", 60), ("touchMove", 120), ("touchEnd", None)):
        points = [] if apart is None else [{"x": x - apart, "y": y, "id": 0}, {"x": x + apart, "y": y, "id": 1}]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    assert looked_at(page)["wide"] == pytest.approx(3 * whole["wide"], rel=0.05)
    page.keyboard.press("Escape")
    page.get_by_role("dialog").wait_for(state="hidden")
    page.close()


def test_the_last_blade_is_seen_beside_the_new_one(page):
    """By keyboard alone: to the grind, change it, see it change, and hold a key to see it as it was."""
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    assert page.get_by_role("button", name="Before (hold)").is_disabled()
    slider = page.get_by_role("slider", name="Grind height")
    for _ in range(60):
        page.keyboard.press("Tab")
        if slider.evaluate("each => each.matches(':focus')"):
            break
    page.keyboard.press("ArrowLeft")
    expect(blade(page)).not_to_have_attribute("src", before)
    settled(page)
    hold = page.get_by_role("button", name="Before (hold)")
    expect(hold).to_be_enabled()
    hold.focus()
    page.keyboard.down(" ")
    over = page.locator(".st-key-close img.over")
    expect(over).to_be_visible()
    assert over.get_attribute("src") == before
    mine, its = over.bounding_box(), blade(page).bounding_box()
    assert all(mine[name] == pytest.approx(its[name], abs=1) for name in mine)
    page.keyboard.up(" ")
    expect(over).to_be_hidden()
    page.get_by_role("button", name="Look close").press("Enter")
    picture = page.get_by_role("dialog").locator(".room img")
    now = picture.get_attribute("src")
    page.keyboard.down("b")
    expect(picture).to_have_attribute("src", before)
    page.keyboard.up("b")
    expect(picture).to_have_attribute("src", now)


def test_a_client_sees_the_work_and_can_change_nothing(page):
    from playwright.sync_api import expect

    turn_to(page, "Hand over")
    for label, words in (("Made by", "A smith (invented)"), ("The pattern's story", "Reeds by the water.")):
        page.get_by_label(label).fill(words)
        page.get_by_label(label).blur()
        settled(page)
    page.wait_for_timeout(500)
    turn_to(page, "Client's view")
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open the client's view").click()
    client = opened.value
    client.set_default_timeout(60_000)
    assert "view=client" in client.url
    for words in ("by A smith (invented)", "Reeds by the water.", "What to expect", "Caution"):
        expect(client.get_by_text(words)).to_be_visible()
    assert drawn(client) == drawn(page)
    looks = [f"Likely look {number} of 6, right face." for number in range(1, 7)]
    for each in looks:
        expect(client.get_by_alt_text(each)).to_be_visible()
    settled(client)
    buttons = [each for each in client.get_by_role("button").all() if each.is_visible()]
    names = {each.inner_text() or each.get_attribute("aria-label") for each in buttons}
    rings = "Right face, with rings where it may lie."
    closer = {f"Fullscreen: {each}" for each in (*looks, rings)}
    assert names <= {"Look close", "Turn it in your hand", *closer}
    assert client.locator("input:visible, textarea:visible, [role=slider], [role=tab]").count() == 0
    client.set_viewport_size({"width": 390, "height": 844})  # a phone: one look below the other, as wide as it is
    expect(client.get_by_alt_text(looks[0])).to_have_js_property("width", 358)
    client.close()


def test_long_work_can_be_stopped(page):
    """A sheet takes seconds: its bar shows how far it is, and Stop drops it; it can be asked for again."""
    from playwright.sync_api import expect

    page.get_by_role("slider", name="Grind height").press("ArrowRight")  # a blade of which no visitor has a sheet yet
    turn_to(page, "Hand over")
    page.get_by_role("button", name="Make the sheet").click()
    page.get_by_role("button", name="Stop", exact=True).click()
    settled(page)
    expect(page.get_by_role("button", name="Stop", exact=True)).to_have_count(0)
    expect(page.get_by_text("The client sheet (PDF)")).to_have_count(0)
    page.get_by_role("button", name="Make the sheet").click()
    expect(page.get_by_text("The client sheet (PDF)")).to_be_visible()
