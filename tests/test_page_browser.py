"""The page in a real browser: headless Chromium, driven by Playwright."""

from __future__ import annotations

import io
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from preview.jobfile import load_job
from preview.steps import Press

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine"),
    # Playwright leaves its event loop's sockets to the interpreter's end
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def address():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(port)]
    command += ["--server.address", "127.0.0.1", "--server.fileWatcherType", "none"]
    server = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        url, end = f"http://127.0.0.1:{port}", time.monotonic() + 60
        while True:
            try:
                urllib.request.urlopen(f"{url}/_stcore/health", timeout=1).close()
                break
            except OSError:
                assert server.poll() is None
                assert time.monotonic() < end
                time.sleep(0.05)
        yield url
    finally:
        server.terminate()
        server.wait(20)


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=60_000)  # a busy machine is no fault of the page
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def page(browser, address):
    opened = browser.new_page(viewport={"width": 1400, "height": 1000})
    opened.set_default_timeout(60_000)
    opened.goto(address)
    settled(opened)
    yield opened
    opened.close()


def settled(page):
    page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    page.wait_for_selector("[data-testid=stImage] img")


def blade(page):
    return page.locator(".st-key-faces img")


def choose(page, label: str, option: str):
    page.get_by_label(label).first.click()
    page.get_by_role("option", name=option).click()


def test_moving_the_grind_changes_the_picture(page):
    from playwright.sync_api import expect

    choose(page, "Start from", "Demo: running wave")
    slider = page.get_by_role("slider", name="Grind angle")
    expect(slider).to_have_count(1)
    settled(page)
    before = blade(page).get_attribute("src")
    slider.press("ArrowRight")
    expect(blade(page)).not_to_have_attribute("src", before)
    assert abs(blade(page).evaluate("image => image.naturalWidth") - 1600) <= 2


def test_upload_move_and_save(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    choose(page, "Start from", "My own pattern")
    stripes = tmp_path / "stripes.png"
    Image.fromarray(np.uint8(np.arange(300)[None, :] // 15 % 2 * 255 * np.ones((80, 1)))).save(stripes)
    page.locator("input[type=file]").first.set_input_files(stripes)
    expect(blade(page)).not_to_have_attribute("src", before)
    page.get_by_role("tab", name="Save").click()
    with page.expect_download() as started:
        page.get_by_role("button", name="Picture (PNG").click()
    with Image.open(io.BytesIO(Path(started.value.path()).read_bytes())) as saved:
        assert saved.format == "PNG"
        assert saved.info["dpi"][0] == pytest.approx(16 * 25.4, abs=0.1)
        grey = np.asarray(saved.convert("L"))
    # upright stripes: far more change along the blade than across it
    inner = grey[300:500, 600:2000].astype(float)
    assert np.ptp(inner.mean(axis=0)) > 3 * np.ptp(inner.mean(axis=1))


def test_a_bad_file_gets_a_readable_error(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    choose(page, "Start from", "My own pattern")
    (tmp_path / "broken.png").write_bytes(b"this is no picture")
    page.locator("input[type=file]").first.set_input_files(tmp_path / "broken.png")
    expect(page.get_by_role("alert").filter(has_text="not a picture that can be read")).to_be_visible()
    expect(blade(page)).to_have_attribute("src", before)


def test_how_sure(page):
    from playwright.sync_api import expect

    page.get_by_role("tab", name="How sure").click()
    expect(page.get_by_alt_text("Six likely looks, right face.")).to_be_visible()
    expect(page.get_by_alt_text("Chance of bright, both faces.")).to_be_visible()
    expect(page.locator("table").filter(has_text="mid-bevel")).to_be_visible()


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

    page.get_by_role("tab", name="Your forge").click()
    expect(page.get_by_role("button", name="Fit these readings")).to_be_visible()
    page.locator("input[type=file]").nth(1).set_input_files(tmp_path / "marks.csv")
    expect(page.get_by_text("12 marks: spread")).to_be_visible()
    page.get_by_role("button", name="Use it in this job").click()
    expect(page.get_by_text("This job is calibrated")).to_be_visible()


def test_a_wanted_picture_is_laid_out_and_used(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    ring = Image.new("L", (400, 200))
    ImageDraw.Draw(ring).ellipse((120, 20, 280, 180), outline=255, width=30)
    ring.save(tmp_path / "ring.png")
    page.get_by_role("tab", name="Wanted picture").click()
    page.locator("input[type=file]").first.set_input_files(tmp_path / "ring.png")
    page.get_by_label("Its width, mm").fill("60")
    page.get_by_role("button", name="Lay it out").click()
    expect(page.get_by_alt_text("The wanted picture, and below it")).to_be_visible()
    expect(page.get_by_text(re.compile(r"Right face: bright areas overlap by (9[89]|100)"))).to_be_visible()
    page.get_by_role("button", name="Use this layout in the job").click()
    expect(blade(page)).not_to_have_attribute("src", before)


def test_dividers_go_out_and_come_in_again(page, tmp_path):
    from playwright.sync_api import expect

    before = blade(page).get_attribute("src")
    page.get_by_role("tab", name="Dividers").click()
    expect(page.get_by_alt_text("dividers, each with its number")).to_be_visible()
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


def test_powder_and_bar(page):
    from playwright.sync_api import expect

    page.get_by_role("tab", name="Powder and bar").click()
    expect(page.get_by_text("Can length for 10 mm of bar beyond each end")).to_be_visible()
    page.get_by_label("Bar beyond each end, mm").fill("25")
    page.get_by_label("Bar beyond each end, mm").press("Enter")
    expect(page.get_by_text("Can length for 25 mm of bar beyond each end")).to_be_visible()


def test_the_blade_stays_in_sight(page):
    page.get_by_role("tab", name="Numbers").click()
    page.locator("table").first.wait_for()
    page.mouse.move(900, 800)
    page.mouse.wheel(0, 900)
    page.wait_for_timeout(300)
    box = blade(page).bounding_box()
    assert box["y"] >= -5
    assert box["y"] + box["height"] <= 1000


@pytest.mark.parametrize("width", [390, 1024, 1920])
def test_nothing_is_cut_off(browser, address, width):
    narrow = browser.new_page(viewport={"width": width, "height": 900})
    narrow.goto(address)
    settled(narrow)
    assert narrow.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    box = narrow.locator(".st-key-faces img").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width + 1
    narrow.close()
