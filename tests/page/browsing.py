"""What tests in a real browser share: which one, how its page is waited for, and how it is gone about."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from preview.face.view import RIM, View
from preview.job.file import load_job
from preview.pipeline import PREVIEW_WIDTH

ROOT = Path(__file__).parents[2]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
IN_BROWSER = [
    pytest.mark.slow,  # server and browser alone take ten seconds to start
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine"),
    # Playwright leaves its event loop's sockets to the interpreter's end
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


@contextmanager
def served(script: str) -> Iterator[str]:
    """Serve a page's script meanwhile; yield its address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", script, "--server.port", str(port)]
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


def frame_of(demo: str) -> View:
    """Return how the page's sharp picture shows a demo's right face: with handle and paper round it, at what scale."""
    blade = load_job(ROOT / "demo_patterns" / f"{demo}.toml").blade
    return View.of("right", blade, PREVIEW_WIDTH / (blade.outline.length + 2 * RIM))


def wait_for_sharp(page, demo: str = "marsh_moon") -> int:
    """Wait for a demo's sharp picture; return how many pixels wide it is."""
    frame = frame_of(demo)
    wide = round(frame.size[0] * frame.px_per_mm)
    page.wait_for_function(f"Math.abs((document.querySelector('.st-key-faces img')?.naturalWidth ?? 0) - {wide}) <= 2")
    return wide


def settled(page):
    page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    page.wait_for_selector(".st-key-faces img")


def blade(page):
    return page.locator(".st-key-faces img")


def drawn(page) -> str:
    """Return the picture of the blade; its address may say more (`preview.page.looking`)."""
    return blade(page).get_attribute("src").partition("base64,")[2]


def wait_until_drawn(page, picture: str) -> None:
    page.wait_for_function("it => document.querySelector('.st-key-faces img')?.src.endsWith(it)", arg=picture)


def turn_to(page, *names: str):
    """Open a tab, and one within it."""
    for name in names:
        page.get_by_role("tab", name=name, exact=True).click()
        settled(page)


def middle(box) -> tuple[float, float]:
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page, start, by):
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0] + by[0] / 2, start[1] + by[1] / 2)
    page.mouse.move(start[0] + by[0], start[1] + by[1])
    page.mouse.up()


def choose(page, label: str, option: str):
    box = page.get_by_role("combobox", name=label)
    box.scroll_into_view_if_needed()
    page.wait_for_timeout(300)
    box.click()
    if not page.get_by_role("option", name=option).is_visible():
        box.press("ArrowDown")  # scrolling to it has closed the list
    page.get_by_role("option", name=option).click()
