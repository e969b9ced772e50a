"""From key press to new picture on the screen, in headless Chromium: ``python tests/benchmarks/page.py``.

The yardstick is a bare page that only swaps ready-made JPEGs of the same size, with the same slider, on the same
server settings. Both are moved in turn in one run; the ratio of the medians is what counts. Then the slider is
dragged on the page, and the numbers of the can and of the forging are stepped up and down, each as often.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

import numpy as np
from playwright.sync_api import Locator, Page, sync_playwright

import preview

ROOT = Path(__file__).parents[2]
DEMO = "running_wave"
MOVES = 44
DRAGGED = 30
STEPS = 8
CHANGES = (
    ("In the can", "", ("Can length", "Can width", "Wall", "Fill density")),
    ("Forging", "1 · Consolidate the powder", ("Minutes",)),
    ("Forging", "2 · Press", ("Down to",)),
)
"""What is stepped: the group at the side, the box within it, and the labels there."""
BARE = """
import base64
from pathlib import Path
import streamlit as st
st.set_page_config(layout="wide")
@st.cache_resource
def pictures():
    return [p.read_bytes() for p in sorted(Path(__file__).parent.glob("*.jpg"))]
@st.fragment
def bench():
    with st.sidebar:
        value = st.slider("Grind angle", 1.0, 25.0, 6.0, 0.1)
    content = pictures()[round(value * 10) % len(pictures())]
    with st.container(key="faces"):
        st.image("data:image/jpeg;base64," + base64.b64encode(content).decode(), width="stretch", alt="ready-made")
bench()
"""
WATCH = """
() => {
  const shown = () => document.querySelector(".st-key-faces img");
  let last = shown().src, pressed = null;
  window.first = []; window.sharp = [];
  document.addEventListener("keydown", () => { pressed = performance.now(); window.sharp.push(null); }, true);
  new MutationObserver(async () => {
    const image = shown();
    if (!image || image.src === last) return;
    last = image.src;
    await image.decode();
    requestAnimationFrame(() => {
      const taken = performance.now() - pressed;
      if (window.first.length < window.sharp.length) window.first.push(taken);
      window.sharp[window.sharp.length - 1] = taken;
    });
  }).observe(document.body, { subtree: true, attributes: true, attributeFilter: ["src"], childList: true });
}
"""
"""Milliseconds from each key press to the first new picture, and to the last one that follows it, when painted."""


FOLLOW = """
() => {
  const shown = () => document.querySelector(".st-key-faces img");
  let last = shown().src, moved = null;
  window.followed = [];
  document.addEventListener("a slider moves", event => { moved = event.detail && performance.now(); });
  new MutationObserver(async () => {
    const image = shown();
    if (image.src === last) return;
    last = image.src;
    const since = moved;
    await image.decode();
    requestAnimationFrame(() => { if (since !== null) window.followed.push(performance.now() - since); });
  }).observe(document.querySelector(".st-key-faces"), { subtree: true, attributes: true, attributeFilter: ["src"] });
}
"""
"""Milliseconds from each move of the slider in hand to the picture that follows it, when painted."""


def serve(script: Path) -> tuple[subprocess.Popen[bytes], str]:
    """Start a server for ``script`` with the project's settings; return it and its address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(script), "--server.port", str(port)]
    command += ["--server.address", "127.0.0.1", "--server.fileWatcherType", "none"]
    server = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    for _ in range(400):
        try:
            urllib.request.urlopen(f"{address}/_stcore/health", timeout=1).close()
            break
        except OSError:
            time.sleep(0.05)
    return server, address


def settled(page: Page) -> None:
    page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    page.wait_for_selector(".st-key-faces img")


def move(page: Page, number: int) -> tuple[float, float]:
    """Press an arrow key on the slider and return the milliseconds to the first new picture and to the sharp one."""
    return press(page, page.get_by_role("slider", name="Grind angle"), "ArrowRight" if number % 8 < 4 else "ArrowLeft")


def press(page: Page, control: Locator, key: str) -> tuple[float, float]:
    """Press a key in a control and return the milliseconds to the first new picture and to the sharp one."""
    number = page.evaluate("window.sharp.length")
    control.press(key)
    page.wait_for_function(f"window.first.length > {number}")
    settled(page)
    page.wait_for_timeout(700)  # a key is told once it is still; the sharp picture, numbers and notes
    settled(page)
    first, sharp = page.evaluate(f"[window.first[{number}], window.sharp[{number}]]")
    return float(first), float(sharp)


def drag(page: Page) -> list[float]:
    """Drag the slider and return the milliseconds from each move of the mouse to the picture that follows it."""
    page.evaluate(FOLLOW)
    slider = page.get_by_role("slider", name="Grind angle")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    assert box is not None
    across, down = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(across, down)
    page.mouse.down()
    for number in range(DRAGGED):
        followed = page.evaluate("window.followed.length")
        page.mouse.move(across + 4 * (number % 10 + 1), down)
        page.wait_for_function(f"window.followed.length > {followed}")
    page.mouse.up()
    page.wait_for_timeout(1000)
    settled(page)
    return list(page.evaluate("window.followed"))[4:DRAGGED]


def step_all(page: Page) -> None:
    """Step what stands at the side up and down, and print for each the medians to the first and the sharp picture."""
    opened = ""
    for group, box, labels in CHANGES:
        if group != opened:
            page.get_by_text(group, exact=True).click()
            opened = group
        if box:
            page.get_by_text(box, exact=True).click()
        settled(page)
        page.wait_for_timeout(1000)
        for label in labels:
            control = page.get_by_role("spinbutton", name=re.compile(rf"^{label}\b")).first
            times = [press(page, control, "ArrowDown" if number % 2 else "ArrowUp") for number in range(STEPS)]
            first, sharp = (statistics.median(kind) for kind in zip(*times, strict=True))
            print(f"{label}: first picture {first:.0f} ms (bar 500), sharp {sharp:.0f} ms (bar 1200)", flush=True)


def main() -> None:
    """Move both pages in turn and print the medians and their ratio."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
        job = preview.load_job(ROOT / "demo_patterns" / f"{DEMO}.toml")
        for number, angle in enumerate(np.arange(4.0, 8.0, 0.2)):
            bevel = job.grind.right.model_copy(update={"angle": float(angle)})
            moved = job.model_copy(update={"grind": job.grind.model_copy(update={"right": bevel})})
            (folder / f"{number:02}.jpg").write_bytes(preview.jpeg_bytes(preview.preview(moved).picture))
        (folder / "bare.py").write_text(BARE)
        servers = [serve(ROOT / "app.py"), serve(folder / "bare.py")]
        try:
            with sync_playwright() as playwright:
                path = shutil.which("chromium") or shutil.which("chromium-browser")
                browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
                pages = []
                for _, address in servers:
                    page = browser.new_page(viewport={"width": 1400, "height": 1000})
                    page.goto(address)
                    settled(page)
                    pages.append(page)
                pages[0].get_by_role("combobox", name="Start from").click()
                pages[0].get_by_role("option", name=f"Demo: {DEMO.replace('_', ' ')}").click()
                pages[0].get_by_role("slider", name="Grind angle").wait_for(state="attached")
                settled(pages[0])
                pages[0].wait_for_timeout(2000)
                for page in pages:
                    page.evaluate(WATCH)
                times: list[list[tuple[float, float]]] = [[], []]
                for number in range(MOVES):
                    for page, into in zip(pages, times, strict=True):
                        page.bring_to_front()
                        into.append(move(page, number))
                pages[0].bring_to_front()
                dragged = statistics.median(drag(pages[0]))
                step_all(pages[0])
                browser.close()
        finally:
            for server, _ in servers:
                server.terminate()
                server.wait(20)
    (ours, sharp), (bare, _) = ([statistics.median(kind) for kind in zip(*each[4:], strict=True)] for each in times)
    print(f"key press to new picture: {ours:.0f} ms, sharp after {sharp:.0f} ms; bare page {bare:.0f} ms")
    print(f"ratio {ours / bare:.2f} (bar 1.8), sharp {sharp / bare:.2f}")
    print(f"a slider dragged: its picture {dragged:.0f} ms after the hand, ratio {dragged / bare:.2f}")


if __name__ == "__main__":
    main()
