"""A page with small pictures; and one served to a browser, both started once for all files of one process."""

from __future__ import annotations

import pytest

from tests.page.browsing import ARGUMENTS, CHROMIUM, served, settled
from tests.page.visiting import make_pictures_small


@pytest.fixture(scope="package", autouse=True)
def _small_pictures():
    """Let the page's pictures be small; in a browser, whose page runs elsewhere (`served.py`), not."""
    with pytest.MonkeyPatch.context() as patch:
        make_pictures_small(patch)
        yield


@pytest.fixture(scope="session")
def address():
    with served("tests/page/served.py") as url:
        yield url


@pytest.fixture(scope="session")
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


@pytest.fixture(scope="module")
def standing(browser, address):
    """A page of the demo it starts with, for tests that only look: none of them changes the job."""
    opened = browser.new_page(viewport={"width": 1400, "height": 1000})
    opened.set_default_timeout(60_000)
    opened.goto(address)
    settled(opened)
    yield opened
    opened.close()


@pytest.fixture(autouse=True)
def _nothing_caught_by_the_last_net(caplog):
    """Fail a test in which the page's last net has caught something, lest it hide what is to be mended."""
    yield
    assert not [each.exc_text for each in caplog.get_records("call") if each.name == "preview.page"]
