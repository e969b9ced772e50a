"""The page in a real browser: headless Chromium, driven by Playwright."""

from __future__ import annotations

import io
import re
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from preview.forging.steps import Press
from preview.job.file import load_job
from preview.sheets.paper import page_pictures
from tests.page.browsing import (
    IN_BROWSER,
    ROOT,
    blade,
    choose,
    drag,
    drawn,
    frame_of,
    middle,
    settled,
    turn_to,
    wait_until_drawn,
)

pytestmark = IN_BROWSER


def angle_of_running_wave(page):
    """Open a demo that holds its angle, and return the angle's slider."""
    from playwright.sync_api import expect

    choose(page, "Start from", "Demo: running wave")
    expect(page.get_by_role("heading", name="Running wave")).to_be_visible()
    settled(page)
    return page.get_by_role("slider", name="Grind angle")


def test_upload_move_and_save(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    choose(page, "Start from", "My own pattern")
    stripes = tmp_path / "stripes.png"
    Image.fromarray(np.uint8(np.arange(300)[None, :] // 15 % 2 * 255 * np.ones((80, 1)))).save(stripes)
    page.locator("input[type=file]").first.set_input_files(stripes)
    expect(blade(page)).not_to_have_attribute("src", before)
    turn_to(page, "Hand over", "Save")
    with page.expect_download() as started:
        page.get_by_role("button", name="Picture (PNG").click()
    with Image.open(io.BytesIO(Path(started.value.path()).read_bytes())) as saved:
        assert saved.format == "PNG"
        assert saved.info["dpi"][0] == pytest.approx(16 * 25.4, abs=0.1)
        grey = np.asarray(saved.convert("L"))
    # upright stripes: far more change along the blade than across it
    inner = grey[300:500, 600:2000].astype(float)
    assert np.ptp(inner.mean(axis=0)) > 3 * np.ptp(inner.mean(axis=1))


def test_how_sure(standing):
    from playwright.sync_api import expect

    turn_to(standing, "Look closer", "Likely looks")
    expect(standing.get_by_alt_text("Six likely looks, right face.")).to_be_visible()
    expect(standing.get_by_alt_text("Chance of bright, both faces.")).to_be_visible()
    expect(standing.locator("table").filter(has_text="middle")).to_be_visible()
    expect(standing.get_by_alt_text("Right face with rings where it may lie.")).to_be_visible()


def test_marks_calibrate_the_job(page, tmp_path):
    """Marks on a section as a forge of less friction would show them; the picture then is that forge's."""
    from playwright.sync_api import expect

    job = load_job(ROOT / "demo_patterns" / "marsh_moon.toml")
    steps = tuple(
        step.model_copy(update={"friction": 0.4}) if isinstance(step, Press) else step for step in job.forging
    )
    laid = np.array([[0.0, y, z] for y in (-9.0, -3.0, 3.0, 9.0) for z in (-12.0, 0.0, 12.0)])
    seen = job.model_copy(update={"forging": steps}).history.can_to_bar(laid)
    rows = [f"{x:.2f},{y:.2f},{a:g},{b:g}" for (_, x, y), (_, a, b) in zip(seen, laid, strict=True)]
    (tmp_path / "marks.csv").write_text("x,y,can_across,can_up\n" + "\n".join(rows) + "\n")

    turn_to(page, "Your forge")
    expect(page.get_by_role("button", name="Fit these readings")).to_be_visible()
    page.locator("input[type=file]").nth(1).set_input_files(tmp_path / "marks.csv")
    expect(page.get_by_text("12 marks: spread")).to_be_visible()
    page.get_by_role("button", name="Use it in this work").click()
    expect(page.get_by_text("This work is calibrated")).to_be_visible()


def test_readings_are_typed_and_pasted(page):
    """No key stroke is lost, not even the first; a faulty row is told by its column's heading."""
    from playwright.sync_api import expect

    turn_to(page, "Your forge")
    page.get_by_label("thick before, mm, row 1").click()
    for text in ("34.5", "28", "19"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.get_by_role("button", name="Fit these readings").click()
    expect(page.get_by_text("row 1, face before: a width before is needed")).to_be_visible()
    expect(page.get_by_label("thick before, mm, row 1")).to_have_value("34.5")
    page.get_by_label("face before, mm, row 1").evaluate(
        r"""box => {
            const clipboardData = new DataTransfer();
            clipboardData.setData("text", "25\t27\n26\t28");
            box.dispatchEvent(new ClipboardEvent("paste", { clipboardData, cancelable: true }));
        }"""
    )
    expect(page.get_by_label("face after, mm, row 2")).to_have_value("28")
    page.get_by_label("face before, mm, row 2").fill("")
    page.get_by_label("face after, mm, row 2").fill("")
    page.get_by_role("button", name="Fit these readings").click()
    expect(page.get_by_role("button", name="Use it in this work")).to_be_visible()


def wanted_ring(page, tmp_path):
    """Choose a ring as the wanted picture, and return it as it lies over the blade."""
    from playwright.sync_api import expect

    ring = Image.new("L", (400, 200))
    ImageDraw.Draw(ring).ellipse((120, 20, 280, 180), outline=255, width=30)
    ring.save(tmp_path / "ring.png")
    turn_to(page, "Fill the can")
    page.locator("input[type=file]").first.set_input_files(tmp_path / "ring.png")
    drawing = page.get_by_role("application", name="the wanted picture")
    expect(drawing).to_be_visible()
    expect(page.get_by_label("Its width, mm")).to_have_value("92")  # the demo's blade is 200 by 46
    expect(blade(page)).to_have_count(2)  # one blade is in sight, with the drawing over it
    settled(page)
    return drawing


NUMBERS = ("Its middle from the heel, mm", "Its middle over the edge line, mm", "Its width, mm", "Turned, °")


def numbers(page, labels=NUMBERS) -> list[float]:
    return [float(page.get_by_role("spinbutton", name=label, exact=True).input_value()) for label in labels]


def told(page, expected, within=0.3, labels=NUMBERS):
    """Wait for the numbers that the drawing's place is told by."""
    end = time.monotonic() + 60
    while numbers(page, labels) != pytest.approx(expected, abs=within):
        assert time.monotonic() < end, f"{numbers(page, labels)}, not {expected}"
        page.wait_for_timeout(100)
    settled(page)


def place_on_screen(drawing, blade_height=46.0) -> list[float]:
    """Return middle (along, across), width and height, in mm, of an unturned drawing on the right face's picture.

    The picture's frame is the blade's box with its handle and paper round it.
    """
    wide, before_heel = frame_of("marsh_moon").size[0], frame_of("marsh_moon").paper[1][0]
    box = drawing.bounding_box()
    ground = drawing.locator("xpath=../img").bounding_box()
    mm = ground["width"] / wide
    along = (box["x"] + box["width"] / 2 - ground["x"]) / mm - before_heel
    across = blade_height + 8 - (box["y"] + box["height"] / 2 - ground["y"]) / mm
    return [along, across, box["width"] / mm, box["height"] / mm]


def test_a_wanted_picture_is_moved_on_the_blade(page, tmp_path):
    from playwright.sync_api import expect

    drawing = wanted_ring(page, tmp_path)
    told(page, [100, 23, 92, 0])
    assert place_on_screen(drawing) == pytest.approx([100, 23, 92, 46], abs=0.3)
    mm = drawing.bounding_box()["width"] / 92

    drag(page, middle(drawing.bounding_box()), (20 * mm, 5 * mm))  # down is towards the edge
    told(page, [120, 18, 92, 0])
    assert place_on_screen(drawing) == pytest.approx([120, 18, 92, 46], abs=0.3)

    corners = [middle(each.bounding_box()) for each in drawing.locator("xpath=../*[contains(@class, 'corner')]").all()]
    drag(page, corners[2], (-23 * mm, -11.5 * mm))  # the lower right one, a quarter of the way; the upper left stays
    told(page, [108.5, 23.75, 69, 0])
    assert place_on_screen(drawing) == pytest.approx([108.5, 23.75, 69, 34.5], abs=0.3)

    drawing.press("Escape")
    told(page, [120, 18, 92, 0])
    for stroke in ("ArrowLeft", "Shift+ArrowLeft", "ArrowUp", "-", "-", "[", "[", "[", "]"):
        drawing.press(stroke)
    told(page, [114.5, 18.5, 90, 2], within=0.06)
    drawing.press("]")
    drawing.press("]")
    told(page, [114.5, 18.5, 90, 0], within=0.06)

    for label, typed in zip(NUMBERS, ("60", "20", "40", "0"), strict=True):
        page.get_by_role("spinbutton", name=label, exact=True).fill(typed)
        page.get_by_role("spinbutton", name=label, exact=True).press("Enter")
        settled(page)
    expect(drawing).to_have_css("transform", re.compile(r"matrix\(1, 0, 0, 1"))
    assert place_on_screen(drawing) == pytest.approx([60, 20, 40, 20], abs=0.3)

    turner = middle(drawing.locator("xpath=../*[contains(@class, 'turn')]").bounding_box())
    centre = middle(drawing.bounding_box())
    far = centre[1] - turner[1]
    drag(page, turner, (-far, far))  # from above the middle to the left of it
    told(page, [60, 20, 40, 90])

    page.get_by_label("On the face").click()
    page.get_by_role("option", name="left").click()
    below = "node => node.offsetTop > node.parentElement.clientHeight / 2"
    end = time.monotonic() + 60
    while not drawing.evaluate(below):
        assert time.monotonic() < end
        page.wait_for_timeout(100)
    settled(page)
    drag(page, middle(drawing.bounding_box()), (10 * mm, 0))  # on the left face rightwards is towards the heel
    told(page, [50, 20, 40, 90])


def test_a_wanted_picture_is_moved_by_a_finger(browser, address, tmp_path):
    page = browser.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    page.set_default_timeout(60_000)
    page.goto(address)
    settled(page)
    drawing = wanted_ring(page, tmp_path)
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    (x, y), mm = middle(box), box["width"] / 92
    finger = page.context.new_cdp_session(page)
    for kind, far in (("touchStart", 0), ("touchMove", 5), ("touchMove", 15), ("touchEnd", None)):
        points = [] if far is None else [{"x": x + far * mm, "y": y}]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    told(page, [115, 23, 92, 0])
    for handle in drawing.locator("xpath=../span").all():  # WCAG 2.2, 2.5.8: targets of at least 24 px
        assert min(handle.bounding_box()["width"], handle.bounding_box()["height"]) >= 24
    page.close()


def test_a_wanted_picture_is_laid_out_and_used(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    wanted_ring(page, tmp_path)
    page.get_by_label("Its width, mm").fill("60")
    page.get_by_label("Its width, mm").press("Enter")
    settled(page)
    page.get_by_role("button", name="Lay it out").click()
    expect(page.get_by_text("This is the layout, not yet your work.")).to_be_visible()
    expect(page.get_by_text(re.compile(r"Right face: bright areas overlap by (9[89]|100)"))).to_be_visible()
    settled(page)
    laid = blade(page).first.get_attribute("src")
    assert laid != before
    page.get_by_role("button", name="Use this layout").click()
    expect(page.get_by_text("This is the layout, not yet your work.")).to_have_count(0)
    settled(page)
    expect(blade(page).first).to_have_attribute("src", laid)
    turn_to(page, "Look closer")
    expect(blade(page)).to_have_count(1)
    expect(blade(page)).not_to_have_attribute("src", before)


def test_a_layout_is_put_away(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    wanted_ring(page, tmp_path)
    page.get_by_role("button", name="Lay it out").click()
    expect(page.get_by_text("This is the layout, not yet your work.")).to_be_visible()
    settled(page)
    look_close(page)  # also where the wanted picture lies over the blade
    turn_to(page, "Look closer")
    expect(blade(page)).to_have_count(1)
    expect(blade(page)).not_to_have_attribute("src", before)  # it stays in sight until it is put away
    page.get_by_role("button", name="Put it away").click()
    expect(blade(page)).to_have_attribute("src", before)
    look_close(page)


def look_close(page):
    """Look close at the blade, and back."""
    from playwright.sync_api import expect

    page.get_by_role("button", name="Look close").click()
    expect(page.get_by_role("application", name=re.compile("Etched blade"))).to_be_visible()
    page.keyboard.press("Escape")


def test_the_pattern_is_moved_in_the_can(page):
    from playwright.sync_api import expect

    labels = ("Its middle beside the can's, mm", "Its middle above the can's, mm", *NUMBERS[2:])
    before = blade(page).get_attribute("src")
    turn_to(page, "Fill the can", "Lay it in the can")
    drawing = page.get_by_role("application", name="your pattern")
    expect(drawing).to_be_visible()
    all_over = load_job(ROOT / "demo_patterns" / "marsh_moon.toml").can.length
    told(page, [0, 0, all_over, 0], labels=labels)
    for _ in range(12):
        drawing.press("-")
    told(page, [0, 0, all_over - 12, 0], labels=labels)
    expect(blade(page)).not_to_have_attribute("src", before)
    expect(drawing).to_be_focused()
    for stroke in ("Shift+ArrowRight", "ArrowDown", "ArrowDown"):
        page.keyboard.press(stroke)
    told(page, [5, -1, all_over - 12, 0], labels=labels)
    drawing.evaluate("each => each.scrollIntoView({ block: 'end' })")
    mm = drawing.bounding_box()["width"] / (all_over - 12)
    drag(page, middle(drawing.bounding_box()), (-30 * mm, 0))  # as far as the can's end lets it
    told(page, [-6, -1, all_over - 12, 0], labels=labels)
    page.get_by_role("button", name="As large as fits").click()
    told(page, [0, 0, all_over, 0], labels=labels)
    page.get_by_role("button", name="Undo", exact=True).click()
    told(page, [-6, -1, all_over - 12, 0], labels=labels)


def test_dividers_go_out_and_come_in_again(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    turn_to(page, "Fill the can", "Dividers")
    expect(page.get_by_alt_text("The insert in the can")).to_be_visible()
    with page.expect_download() as started:
        page.get_by_role("button", name="DXF").click()
    started.value.save_as(tmp_path / "mine.dxf")
    page.get_by_text("Dividers you have drawn already").click()
    page.locator("input[type=file]").last.set_input_files(tmp_path / "mine.dxf")
    picture = page.get_by_role("button", name="The can, its regions numbered.")
    expect(picture).to_be_visible()
    box = picture.bounding_box()
    picture.click(position={"x": 0.9 * box["width"], "y": 0.1 * box["height"]})
    expect(page.locator("[data-testid=stMultiSelect]").get_by_text("1", exact=True)).to_be_visible()
    picture.press("Enter")  # by the keyboard: the same spot, back to the first powder
    expect(page.locator("[data-testid=stMultiSelect]").get_by_text("1", exact=True)).to_have_count(0)
    picture.press("Enter")
    expect(page.locator("[data-testid=stMultiSelect]").get_by_text("1", exact=True)).to_be_visible()
    page.get_by_role("button", name="Fill the can so").click()
    expect(blade(page)).not_to_have_attribute("src", before)


def test_powder_and_bar(standing):
    from playwright.sync_api import expect

    turn_to(standing, "Fill the can", "Powder and bar")
    expect(standing.get_by_text("Can length for 10 mm of bar beyond each end")).to_be_visible()
    standing.get_by_label("Bar beyond each end, mm").fill("25")
    standing.get_by_label("Bar beyond each end, mm").press("Enter")
    expect(standing.get_by_text("Can length for 25 mm of bar beyond each end")).to_be_visible()


def test_a_fresh_visitor_is_told_how_to_begin(page):
    from playwright.sync_api import expect

    for head in ("Lay a pattern", "Say how you work", "Try the grind"):
        expect(page.get_by_text(head)).to_be_visible()
    page.get_by_role("button", name="I know my way").click()
    expect(page.get_by_text("Lay a pattern")).to_have_count(0)
    expect(blade(page)).to_be_visible()


def test_undo_redo_and_reload(page, browser):
    """By keyboard: move the grind, take it back, reload, do it again: it is still there. A wrong link says so."""
    from playwright.sync_api import expect

    slider = angle_of_running_wave(page)
    before = drawn(page)
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    slider.press("ArrowRight")
    expect(page.get_by_text("Your work: Running wave")).to_be_visible()
    settled(page)
    moved = drawn(page)
    assert moved != before
    page.get_by_role("button", name="Undo").press("Enter")
    wait_until_drawn(page, before)
    settled(page)
    page.reload()
    settled(page)
    wait_until_drawn(page, before)
    page.get_by_role("button", name="Redo").press("Enter")
    wait_until_drawn(page, moved)
    settled(page)
    lost = browser.new_page()
    lost.goto(page.url.partition("?")[0] + "?work=" + "0" * 24)
    settled(lost)
    expect(lost.get_by_text("no longer kept here")).to_be_visible()
    expect(blade(lost)).to_be_visible()
    lost.close()


def test_a_demo_is_only_looked_at_and_a_deleted_job_comes_back(page):
    from playwright.sync_api import expect

    expect(page.get_by_text("You are looking at a demo.")).to_be_visible()
    angle_of_running_wave(page).press("ArrowRight")
    expect(page.get_by_text("Your work: Running wave")).to_be_visible()
    settled(page)
    mine = drawn(page)
    choose(page, "Start from", "Demo: marsh moon")
    expect(page.get_by_text("You are looking at a demo.")).to_be_visible()
    page.reload()
    settled(page)
    expect(page.get_by_text("You are looking at a demo.")).to_be_visible()
    page.get_by_role("button", name="Back to Running wave").click()
    wait_until_drawn(page, mine)
    settled(page)
    page.get_by_role("button", name="My work").click()
    shelf = page.get_by_role("dialog")
    expect(shelf.get_by_alt_text("The blade of Running wave.").last).to_be_visible()
    shelf.get_by_role("button", name="More").click()
    page.get_by_role("button", name="Delete").click()
    expect(shelf.get_by_text("is off the shelf")).to_be_visible()
    shelf.get_by_role("button", name="Bring it back").first.click()
    expect(shelf.get_by_alt_text("The blade of Running wave.").last).to_be_visible()  # the dialog is drawn anew
    page.keyboard.press("Escape")
    expect(shelf).to_have_count(0)
    wait_until_drawn(page, mine)


def test_one_file_holds_everything(page, tmp_path):
    from playwright.sync_api import expect

    turn_to(page, "Hand over", "Save")
    with page.expect_download() as started:
        page.get_by_role("button", name="Save everything").click()
    assert started.value.suggested_filename == "Marsh moon.zip"
    started.value.save_as(tmp_path / "Mine.zip")
    page.get_by_role("button", name="My work").click()
    page.get_by_role("tab", name="Begin a new one").click()
    page.get_by_role("dialog").locator("input[type=file]").set_input_files(tmp_path / "Mine.zip")
    expect(page.get_by_text("Your work: Mine")).to_be_visible()
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_inches_and_fahrenheit(page):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    page.get_by_text("Inches", exact=True).click()
    edge = page.get_by_role("spinbutton", name="Edge before sharpening, in")
    expect(edge).to_have_value("0.012")
    expect(blade(page)).not_to_have_attribute("src", before)  # its scale bar is in inches now
    settled(page)
    before = blade(page).get_attribute("src")
    edge.fill("0.02")
    edge.press("Enter")
    expect(blade(page)).not_to_have_attribute("src", before)
    page.get_by_text("°F", exact=True).click()
    turn_to(page, "Fill the can", "Powder and bar")
    expect(page.get_by_label("Caliper read at, °F")).to_have_value("1832")
    turn_to(page, "Look closer", "Numbers")
    expect(page.locator("table").first).to_contain_text(" in")


def test_a_comma_is_a_point_and_a_fraction_the_number_it_is(page):
    """A browser drops what is no digit: 0,45 would be 045, and 1 1/8 118. Settled by Enter, and by leaving the box."""
    from playwright.sync_api import expect

    edge = page.get_by_role("spinbutton", name="Edge before sharpening, mm")
    edge.press("Control+a")
    page.keyboard.type("0,45")
    expect(edge).to_have_value("0.45")
    edge.press("Enter")
    settled(page)
    expect(page.get_by_text("Your work: Marsh moon")).to_be_visible()
    expect(edge).to_have_value("0.45")
    page.get_by_text("Inches", exact=True).click()
    settled(page)
    height = page.get_by_role("spinbutton", name="Grind height, in")
    expect(height).to_be_visible()
    settled(page)
    before = blade(page).get_attribute("src")
    height.press("Control+a")
    page.keyboard.type("1 1/8")
    page.keyboard.press("Enter")
    expect(blade(page)).not_to_have_attribute("src", before)
    expect(height).to_have_value("1.125")
    settled(page)
    edge = page.get_by_role("spinbutton", name="Edge before sharpening, in")
    edge.press("Control+a")
    page.keyboard.type("1/50")
    page.get_by_role("heading").first.click()
    settled(page)
    expect(edge).to_have_value("0.020")
    expect(height).to_have_value("1.125")


def test_the_plain_address_leads_back_to_the_last_work(browser, address):
    from playwright.sync_api import expect

    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    context.set_default_timeout(60_000)
    page = context.new_page()
    page.goto(address)
    settled(page)
    angle_of_running_wave(page).press("ArrowRight")
    expect(page.get_by_text("Your work: Running wave")).to_be_visible()
    settled(page)
    again = context.new_page()
    again.goto(address)
    expect(again.get_by_text("Your work: Running wave")).to_be_visible()
    assert again.evaluate("location.search") == page.evaluate("location.search")
    context.close()


def test_what_moves_is_shown_moved(page):
    """What was typed leaves the box for what can be had, and the slider ends there."""
    from playwright.sync_api import expect

    choose(page, "Grind", "hollow")
    height = page.get_by_role("spinbutton", name="Grind height, mm")
    expect(page.get_by_text("Grind height moved to 12.7 mm").first).to_be_visible()
    expect(height).to_have_value("12.7")
    height.fill("20")
    height.press("Enter")
    expect(page.get_by_text("20 mm high takes a wheel of diameter 617 mm or more").first).to_be_visible()
    expect(height).to_have_value("12.7")
    slider = page.get_by_role("slider", name="Grind height, mm")
    slider.press("ArrowLeft")
    expect(height).to_have_value("12.6")
    expect(page.get_by_text("Up to 12.7 mm with this wheel.")).to_be_visible()


def test_trials_wipe_and_ladder(page):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    turn_to(page, "Try grinds")
    page.get_by_label("Up to twelve (mm)").fill("12, 30")
    page.get_by_role("button", name="Try them").click()
    expect(page.get_by_alt_text("Trial 2, 30 mm.")).to_be_visible()
    expect(page.get_by_text("Go in this order")).to_contain_text("12 mm, then 30 mm")
    over = page.get_by_alt_text("1 · 12 mm", exact=True)
    clip = over.evaluate("image => image.style.clipPath")
    page.get_by_role("slider", name="How much of 1").press("ArrowRight")
    assert over.evaluate("image => image.style.clipPath") != clip
    expect(page.get_by_alt_text("Map of the face")).to_be_visible()
    expect(page.get_by_alt_text("The bevel comes down")).to_be_visible()
    page.get_by_role("button", name="Grind so").last.click()
    expect(blade(page)).not_to_have_attribute("src", before)


def test_a_list_that_cannot_be_is_refused(standing):
    from playwright.sync_api import expect

    turn_to(standing, "Try grinds")
    standing.get_by_label("Up to twelve (mm)").fill("12, high")
    standing.get_by_role("button", name="Try them").click()
    expect(standing.get_by_role("alert").filter(has_text="Heights, number 2")).to_be_visible()


def test_where_a_spot_came_from(standing):
    from playwright.sync_api import expect

    turn_to(standing, "Look closer", "Where it lay")
    face = standing.get_by_role("button", name="The right face.")
    expect(face).to_be_visible()
    box = face.bounding_box()
    face.click(position={"x": 0.7 * box["width"], "y": 0.5 * box["height"]})  # the handle is on the left
    expect(standing.get_by_text("Right face, ")).to_contain_text("along the can")
    can = standing.get_by_role("button", name="The can.")
    can.focus()
    can.press("ArrowRight")  # from the middle, by the keyboard
    can.press("Enter")
    expect(standing.get_by_text("Left face, ")).to_contain_text("along the can")


def test_step_by_step(standing):
    from playwright.sync_api import expect

    turn_to(standing, "Look closer", "Step by step")
    for alt in ("Sections of the can and the bar.", "Thickness of the blade", "Right face; what is too fine"):
        expect(standing.get_by_alt_text(alt)).to_be_visible()


def test_sheets(page):
    from playwright.sync_api import expect

    turn_to(page, "Hand over")
    page.get_by_label("Title").fill("A blade of ours (invented)")
    page.get_by_label("Title").press("Enter")
    expect(page.get_by_role("heading", name="A blade of ours")).to_be_visible()
    page.get_by_label("Made by").fill("A smith (invented)")
    page.get_by_label("Made by").press("Enter")
    settled(page)
    page.wait_for_timeout(500)
    for kind, pages in (("client", 3), ("shop", 4)):
        if kind != "client":  # which stands there already
            choose(page, "Sheet for", kind)
            settled(page)
        page.get_by_role("button", name="Make the sheet").click()
        expect(page.get_by_alt_text(f"Page 2 of the {kind} sheet.")).to_be_visible()
        with page.expect_download() as started:
            page.get_by_role("button", name=f"The {kind} sheet (PDF)").click()
        content = Path(started.value.path()).read_bytes()
        assert content[:5] == b"%PDF-"
        assert len(page_pictures(content, 20)) == pages


CONTRAST = """
() => {
  const light = colour => colour.slice(0, 3).map(c => c / 255)
    .map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
    .reduce((sum, c, n) => sum + c * [0.2126, 0.7152, 0.0722][n], 0);
  const parse = text => (text.match(/[\\d.]+/g) || []).map(Number);
  const over = (top, under) => {
    const a = top.length > 3 ? top[3] : 1;
    return under.map((u, n) => a * top[n] + (1 - a) * u);
  };
  const ground = node => {
    const layers = [], box = node.getBoundingClientRect(), middle = [box.x + box.width / 2, box.y + box.height / 2];
    for (let each = node; each; each = each.parentElement) {
      const behind = each.getBoundingClientRect();  // a slider's value stands over its thumb, not on it
      if (each !== document.body && each !== document.documentElement && (middle[0] < behind.left
        || middle[0] > behind.right || middle[1] < behind.top || middle[1] > behind.bottom)) continue;
      const colour = parse(getComputedStyle(each).backgroundColor);
      if (colour.length && (colour.length < 4 || colour[3] > 0)) layers.push(colour);
    }
    return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255]);
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode.parentElement, text = walk.currentNode.textContent.trim();
    if (!text || !node.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    if (["STYLE", "SCRIPT", "NOSCRIPT"].includes(node.tagName)) continue;
    if (node.closest("[disabled], [aria-disabled=true]")) continue;
    const style = getComputedStyle(node), under = ground(node);
    let top = over(parse(style.color), under), opacity = 1;
    for (let at = node; at; at = at.parentElement) opacity *= Number(getComputedStyle(at).opacity);
    top = over([...top, opacity], under);
    const [high, low] = [light(top), light(under)].sort((a, b) => b - a);
    const ratio = (high + 0.05) / (low + 0.05);
    const size = parseFloat(style.fontSize), bold = Number(style.fontWeight) >= 700;
    const large = size >= (bold ? 18.66 : 24);
    if (ratio < (large ? 3 : 4.5) - 0.005) found.push(`${ratio.toFixed(2)} ${text.slice(0, 60)}`);
  }
  return found;
}
"""
"""Texts whose contrast is under what WCAG 2.2 asks for (1.4.3, AA), by its formula; disabled controls are exempt."""


def faint_are(page, awaited: list[str]):
    """Wait until these words alone are faint, by the first of each: what fades in is faint until it has come."""
    end = time.monotonic() + 60
    found = page.evaluate(CONTRAST)
    while [line.split()[1] for line in found] != awaited:
        assert time.monotonic() < end, found
        page.wait_for_timeout(100)
        found = page.evaluate(CONTRAST)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_can_be_read(browser, address, scheme):
    shown = browser.new_page(viewport={"width": 1400, "height": 1000}, color_scheme=scheme)
    shown.set_default_timeout(60_000)
    shown.goto(address)
    settled(shown)
    planted = "<p id=faint style=color:#8a8a8a>faint</p>"
    shown.evaluate(f"document.body.insertAdjacentHTML('beforeend', '{planted}')")
    faint_are(shown, ["faint"] if scheme == "light" else [])
    shown.evaluate("document.querySelector('#faint').remove()")
    for names in (("Numbers",), ("Try grinds",), ("Fill the can", "Powder and bar"), ("Your forge",), ("Hand over",)):
        turn_to(shown, *names)
        faint_are(shown, [])
    shown.close()


def test_controls_and_pictures_have_names(standing):
    """Every control is named for a screen reader, and every picture has its words (WCAG 2.2, 4.1.2 and 1.1.1)."""
    nameless = standing.evaluate(
        """() => [...document.querySelectorAll("input, button, select, textarea, [role=slider]")]
          .filter(e => e.checkVisibility() && e.type !== "file" && !e.closest("[data-testid=stHeader]"))
          .filter(e => !(e.getAttribute("aria-label") || e.getAttribute("aria-labelledby") || e.labels?.length
            || e.innerText?.trim() || e.title)).map(e => e.outerHTML.slice(0, 120))"""
    )
    assert nameless == []
    assert standing.locator("input, button, select, textarea, [role=slider]").count() > 20
    assert standing.evaluate("document.images.length") > 0
    assert standing.evaluate("[...document.images].filter(e => !e.alt).length") == 0


def test_the_blade_stays_in_sight(standing):
    turn_to(standing, "Look closer", "Numbers")
    standing.locator("table").first.wait_for()
    standing.mouse.move(900, 800)
    standing.mouse.wheel(0, 900)
    standing.wait_for_timeout(300)
    box = blade(standing).bounding_box()
    assert box["y"] >= -5
    assert box["y"] + box["height"] <= 1000


@pytest.mark.parametrize("width", [1024, 1920])
def test_nothing_is_cut_off(standing, width):
    standing.set_viewport_size({"width": width, "height": 900})
    standing.wait_for_timeout(500)
    assert standing.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    box = blade(standing).bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width + 1
