"""The page's logic, by Streamlit's AppTest: no browser, the script itself."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from streamlit.testing.v1 import AppTest

from preview.filling.fill import fill
from preview.page.app import PANELS
from preview.pipeline import PREVIEW_WIDTH, preview
from tests.conftest import DEMO_JOBS
from tests.page.test_controls import NO_WORDS_OF_THE_TRADE
from tests.page.visiting import APP, WAIT, control, names, open_job, open_panel, picture, slider, start, visit

NAMES = ("0.5 mm", "1000 °C")


@pytest.fixture
def page() -> AppTest:
    return start()


def test_a_fresh_user_sees_a_blade(monkeypatch):
    """At the size that all see, and with a cache of his own; the other tests' visitors share one.

    From rim to rim, 8 mm beyond heel and tip, the blade is as wide as told; the handle comes on top, as much of it as
    leaves the blade 70 % of the picture.
    """
    monkeypatch.setitem(preview.__kwdefaults__, "width", PREVIEW_WIDTH)
    page = AppTest.from_file(str(APP), default_timeout=WAIT).run()
    assert not page.exception
    shown = picture(page)
    long = page.session_state.good.blade.outline.length
    assert abs(shown.shape[1] - PREVIEW_WIDTH * (long / 0.7) / (long + 16)) <= 2
    assert shown.std() > 25  # a picture of something: an even ground's is under 5
    assert not page.error
    assert page.session_state.job is None  # looking at the controls changes nothing
    assert any("Marsh moon" in each.value for each in page.subheader)
    assert page.session_state.cache.held > 0


@pytest.fixture(scope="module")
def shared_page() -> AppTest:
    """A page that goes from demo to demo."""
    return start()


def test_every_demo_opens_and_the_page_leaves_its_job_as_it_was(shared_page, demo_path, demo):
    page, job = shared_page, demo
    page.selectbox(key="start").set_value(demo_path.stem).run()
    assert not page.exception
    assert not page.error
    opened = page.session_state.good
    assert opened.history.bar.size == pytest.approx(job.history.bar.size)
    assert opened.grind.bevel("left") == job.grind.bevel("left")
    assert opened.blade == job.blade
    assert opened.powders == job.powders
    assert names(page) == []  # looking keeps nothing
    assert page.session_state.job is None
    assert any("looking at a demo" in each.value for each in page.caption)
    assert control(page, "button", "Undo").disabled


def test_what_no_control_is_the_cause_of_is_told_above_the_blade():
    page = visit()
    page.session_state.table["pattern"]["picture"] = "gone.png"
    page.session_state.table["seed"] = -3
    page.run()
    assert "Seed: a number of at least 0" in page.error[0].value
    assert "last one that could be made" in page.error[0].value


def test_own_job_file_with_its_picture():
    """The picture that was uploaded stands in for the one the job file names."""
    page = visit()
    demo = DEMO_JOBS[0].parent / "running_wave.toml"
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value(("wave.png", demo.with_suffix(".png").read_bytes(), "image/png"))
    page.file_uploader(key="job_file").set_value(("mine.toml", demo.read_bytes(), "application/toml")).run()
    assert not page.exception
    assert not page.error
    assert page.session_state.good.title.startswith("Running wave")
    assert page.session_state.good.pattern.picture == "wave.png"


def test_a_job_file_with_faults_says_each_on_a_line():
    page = visit()
    demo = DEMO_JOBS[0].parent / "running_wave.png"
    bad = b'[pattern]\npicture = "p.png"\n[can]\nwall = -1\n[etch]\nminutes = -2\n'
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value(("wave.png", demo.read_bytes(), "image/png"))
    page.file_uploader(key="job_file").set_value(("mine.toml", bad, "application/toml")).run()
    assert not page.exception
    assert "- The can, Wall" in page.error[0].value
    assert "- The etch, Minutes in the etch" in page.error[0].value


def said(page: AppTest) -> str:
    """Return the words of the page's tables, notes and small print."""
    tables = [cell for each in page.table for column in each.value.items() for cell in (column[0], *column[1])]
    heads = [head for each in page.table for head in each.value.index]
    written = [each.value for kind in ("warning", "error", "caption") for each in getattr(page, kind)]
    return "\n".join(map(str, (*tables, *heads, *written)))


@pytest.mark.slow
def test_a_powder_called_as_a_size_keeps_its_name():
    """All else is told in inches and °F."""
    page = start()
    powders = [
        {**powder, "name": name} for powder, name in zip(page.session_state.table["powders"], NAMES, strict=True)
    ]
    page.session_state["inches"] = page.session_state["fahrenheit"] = True
    open_job(
        page, powders=powders, pattern={"picture": "fine_rain.png", "dividers": "through", "transparent": NAMES[0]}
    )
    for tab, panel in (("Look closer", "Numbers"), ("Fill the can", "Powder and bar")):
        open_panel(page, tab, panel)
        words = said(page)
        for name in NAMES:
            assert name in words
            words = words.replace(name, "")
        assert " in" in words
        assert " mm" not in words.replace("25 mm (1 inch)", "")
        assert "°C" not in words


@pytest.mark.slow
def test_the_can_is_filled_as_its_powders_tap():
    """Water-atomised powder, 3.5 to 3.9 g/cm3, where gas-atomised was meant: 0.475 of solid, but for the dividers."""
    page = visit(1)
    for kind in (each for each in page.selectbox if "unknown" in each.options):
        kind.set_value("water-atomised, -100 mesh")
    page.run()
    control(page, "button", "Fill to the powders' tap density").click().run()
    assert not page.exception
    assert not page.error
    job = page.session_state.good
    length, width = job.pattern_area
    floors = sum(each.area for each in fill(job).fills) / (length * width)
    assert 0.9 < floors < 0.97  # the rest is dividers
    filled = job.can.fill_density
    assert filled == pytest.approx(0.475 * floors, rel=0.01)
    assert slider(page, "Fill density")["value"] == filled


def test_walls_thinner_than_any_bead_are_refused_in_words():
    page = visit(1)
    open_panel(page, "Fill the can", "Powder and bar")
    control(page, "number_input", "Dividers' walls, mm").set_value(0.05).run()
    assert not page.exception
    assert "Bead: " in page.error[0].value
    control(page, "number_input", "Dividers' walls, mm").set_value(0.0).run()
    assert not page.error


def test_every_control_has_words():
    page = start()
    for kind in ("number_input", "selectbox", "checkbox", "button"):
        controls = getattr(page, kind)
        assert controls
        assert all(each.label.strip() for each in controls)
    images = page.get("image")
    assert images
    assert all(each.proto.imgs[0].alt for each in images)


def written(message) -> Iterator[str]:
    """Yield what a part of the page says, its labels and helps, but no addresses and names of files."""
    for field, value in message.ListFields():
        parts = value if field.is_repeated else [value]
        if field.message_type is not None and not field.message_type.GetOptions().map_entry:
            for part in parts:
                yield from written(part)
        elif field.type == field.TYPE_STRING and not re.search("id$|url|key|json|type|css|js|html|icon", field.name):
            yield from parts


def all_words(page: AppTest) -> list[str]:
    parts, found = [page._tree], []
    while parts:
        part = parts.pop()
        parts += getattr(part, "children", {}).values()
        if getattr(part, "proto", None) is not None:
            found += written(part.proto)
    return [*found, said(page)]


@pytest.mark.slow
def test_the_page_speaks_the_words_of_the_trade():
    page = start()
    found = set()
    for tab, panels in PANELS.items():
        for panel in panels:
            open_panel(page, tab, panel)
            if panel == "Grinds":
                control(page, "text_input", "Up to twelve (mm), with commas between").set_value("12, 99").run()
                page.button(key="try_them").click().run()
                assert any("99 mm is left out: " in each.value for each in page.warning)
            assert not page.exception
            # pictures and maps within a page of its own say words by chance
            words = [re.sub(r"[A-Za-z0-9+/=]{120,}", "", each) for each in all_words(page)]
            assert len(words) > 200
            found |= {each for each in words if re.search(NO_WORDS_OF_THE_TRADE, each)}
    assert not found
