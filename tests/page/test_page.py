"""The page's logic, by Streamlit's AppTest: no browser, the script itself."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from preview.base.units import METRIC
from preview.blade.grinds import GRIND_KINDS
from preview.forging.steps import STEPS
from preview.job.file import make_job
from preview.page.app import PANELS
from preview.page.telling import TITLES
from tests.conftest import DEMO_JOBS, DEMOS
from tests.page.test_controls import NO_WORDS_OF_THE_TRADE

APP = Path(__file__).parents[2] / "app.py"
WAIT = 60
NAMES = ("0.5 mm", "1000 °C")


def start() -> AppTest:
    started = AppTest.from_file(str(APP), default_timeout=WAIT)
    for number in range(1, 7):
        started.session_state[f"group {number}"] = True  # all groups of controls open
    started.run()
    assert not started.exception
    return started


@pytest.fixture
def page() -> AppTest:
    return start()


def picture(page: AppTest) -> np.ndarray:
    url = page.get("image")[0].proto.imgs[0].url
    content = base64.b64decode(url.partition("base64,")[2])
    return np.asarray(Image.open(io.BytesIO(content)))


def control(page: AppTest, kind: str, label: str):
    found = [each for each in getattr(page, kind) if each.label.replace("\xa0", " ") == label]
    assert found, f"no {kind} {label!r}"
    return found[0]


def test_a_fresh_user_sees_a_blade(page):
    shown = picture(page)
    assert abs(shown.shape[1] - 1600) <= 2
    assert shown.std() > 30
    assert not page.error
    assert page.session_state.job is None  # looking at the controls changes nothing
    assert any("Marsh moon" in each.value for each in page.subheader)


def test_a_tang_shows_with_a_handle_and_is_checked_against_the_bar(page):
    """Behind the heel there is room for the longer of the two; the tang is longer than the bar is."""
    before = picture(page).shape
    control(page, "number_input", "Tang, mm").set_value(105.0).run()
    assert not page.exception
    with_handle = picture(page)
    scale = before[1] / (page.session_state.good.blade.outline.length + 16)
    assert with_handle.shape[0] == before[0]
    assert with_handle.shape[1] - before[1] == pytest.approx(113 * scale, abs=2)  # the handle: 8 mm longer
    assert any("The tang reaches" in each.value and "beyond the bar's end" in each.value for each in page.warning)
    control(page, "selectbox", "Handle").set_value("none").run()
    bare = picture(page)
    assert bare.shape[1] - before[1] == pytest.approx(105 * scale, abs=2)


def test_moving_the_grind_moves_the_picture(page):
    page.selectbox(key="start").set_value("running_wave").run()
    before = picture(page)
    control(page, "slider", "Grind angle, ° a side").set_value(4.0).run()
    after = picture(page)
    assert before.shape == after.shape
    assert np.abs(before.astype(int) - after).mean() > 0.3


def test_undo_takes_back_one_change_and_no_more(page):
    def edge():
        return control(page, "number_input", "Edge before sharpening, mm")

    def undo():
        return page.button(key="undo")

    def grind():
        return control(page, "selectbox", "Grind").value, height(page)

    assert undo().disabled
    edge().set_value(0.5).run()
    assert not undo().disabled
    control(page, "selectbox", "Grind").set_value("hollow").run()
    assert grind() == ("hollow", 11.7)  # moved, since the wheel reaches no farther; see the test of limits
    undo().click().run()
    assert not page.error
    assert (grind(), edge().value) == (("flat", 34.0), 0.5)
    undo().click().run()
    assert (grind(), edge().value) == (("flat", 34.0), 0.3)
    assert undo().disabled


def height(page: AppTest) -> float:
    found = control(page, "number_input", "Grind height, mm").value
    assert control(page, "slider", "Grind height, mm").value == found
    return found


def angle(page: AppTest) -> float:
    found = control(page, "number_input", "Grind angle, ° a side").value
    assert control(page, "slider", "Grind angle, ° a side").value == found
    return found


def test_what_is_held_changes_and_the_bevel_stays(page):
    page.selectbox(key="start").set_value("running_wave").run()
    before = picture(page).astype(int)
    high = height(page)
    assert high == pytest.approx(page.session_state.good.ground.bevel("right", np.array([65.0])).height[0], abs=0.05)
    control(page, "radio", "What stays the same from heel to tip?").set_value("height").run()
    assert page.session_state.good.grind.right.hold == "height"
    assert height(page) == pytest.approx(high, abs=0.05)
    assert np.abs(picture(page) - before).mean() < 2
    control(page, "radio", "What stays the same from heel to tip?").set_value("angle").run()
    assert angle(page) == pytest.approx(6.0, abs=0.15)


def test_height_and_angle_are_two_names_of_one_thing(page):
    """Marsh moon at mid-blade: the rise over 34 mm, and what angle and height make of each other by trigonometry."""
    ground = page.session_state.good.ground
    bevel = ground.bevel("right", np.array([ground.blade.outline.length / 2]))
    rise = float(bevel.face[0] - bevel.foot[0])
    assert angle(page) == pytest.approx(np.degrees(np.arctan(rise / 34)), abs=0.006)
    control(page, "number_input", "Grind height, mm").set_value(20.0).run()
    assert angle(page) == pytest.approx(np.degrees(np.arctan(rise / 20)), abs=0.006)
    control(page, "slider", "Grind angle, ° a side").set_value(4.0).run()
    assert height(page) == pytest.approx(rise / np.tan(np.radians(4.0)), abs=0.06)
    assert page.session_state.good.grind.right.hold == "height"
    control(page, "checkbox", "Full height").check().run()
    assert page.session_state.good.grind.right.height == "full"
    assert height(page) == ground.blade.outline.height


def moved(page: AppTest) -> list[str]:
    """Return what is told to have moved, below the blade and again at its control."""
    told = [each.value.strip("*").replace("\\", "") for each in page.caption if " moved to " in each.value]
    return list(dict.fromkeys(told))


def test_hollow_starts_as_high_as_its_wheel_allows(page):
    """The tip's rise is (1.6 - 0.3) / 2 = 0.65: sqrt(0.65 * (250 - 0.65)) = 12.73, and 34 takes 34**2 / 0.65 + 0.65."""
    control(page, "selectbox", "Grind").set_value("hollow").run()
    assert not page.error
    assert height(page) == 12.7
    assert control(page, "slider", "Grind height, mm").max == 12.7
    assert moved(page) == [
        "Grind height moved to 12.7 mm: the most that this wheel allows. 34 mm high takes a wheel of diameter 1780 mm "
        "or more."
    ]
    assert page.session_state.good.grind.right.height == 12.7
    control(page, "number_input", "Wheel diameter, mm").set_value(500.0).run()
    assert height(page) == 18.0  # as near to the 34 that were there as this wheel gets
    assert "18 mm: the most that this wheel allows" in moved(page)[0]
    control(page, "slider", "Grind height, mm").set_value(17.0).run()
    assert (height(page), moved(page)) == (17.0, [])  # told until the next change
    assert any(each.value == "Up to 18 mm with this wheel." for each in page.caption)
    control(page, "number_input", "Wheel diameter, mm").set_value(100.0).run()
    assert height(page) == 8.0
    assert "8 mm: the most that this wheel allows" in moved(page)[0]


def test_what_a_choice_makes_impossible_moves_and_says_so(page):
    control(page, "number_input", "Edge before sharpening, mm").set_value(2.5).run()
    assert not page.error
    assert moved(page) == ["Edge before sharpening moved to 1.59 mm: the most that this thickness allows."]
    control(page, "number_input", "Blade length, mm").set_value(900.0).run()
    assert not page.error
    assert "the most that this bar allows" in moved(page)[0]
    assert page.session_state.good.blade.outline.length < 300
    control(page, "number_input", "Blade height, mm").set_value(20.0).run()
    assert not page.error
    assert (height(page), moved(page)) == (
        20.0,
        ["Grind height moved to 20 mm: the most that this blade height allows."],
    )


@pytest.fixture(scope="session")
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


def test_what_is_wrong_is_told_at_its_control_and_the_last_picture_stays(page):
    before = picture(page)
    page.session_state["group 2"] = False
    weld, press, mill = page.session_state.table["forging"]
    page.session_state.table["forging"] = [press, weld, mill]
    page.run()
    above, beside = [each.value for each in page.error]
    assert above == "Something in 2 · Forging does not work; the picture is the last one that could be made."
    assert page.session_state["group 2"]  # it opens, so that it is found
    assert boxes_of(page)[0]
    assert beside.startswith("Step 1, Press\\: The filling is still loose")
    assert "forging" not in beside
    np.testing.assert_array_equal(picture(page), before)
    page.session_state.table["forging"] = [weld, press, {**mill, "sides": (1.0, 1.0)}]
    page.session_state.table["etch"]["minutes"] = -1.0
    page.run()
    assert [each.value for each in page.error][1] == "A number of at least 0 is needed; given \\-1\\.0"
    page.button(key="undo").click().run()
    assert not page.error


def test_what_no_control_is_the_cause_of_is_told_above_the_blade(page):
    page.session_state.table["pattern"]["picture"] = "gone.png"
    page.session_state.table["seed"] = -3
    page.run()
    assert "Seed: a number of at least 0" in page.error[0].value
    assert "last one that could be made" in page.error[0].value


def steps_of(page: AppTest) -> list[str]:
    return [step["step"] for step in page.session_state.table["forging"]]


def boxes_of(page: AppTest) -> list[bool]:
    """Return whether the box of each step is open."""
    boxes = [each for each in page.expander if each.label not in TITLES.values()]
    return [each.proto.expanded for each in boxes if re.match(r"\d+ · ", each.label)]


def press_button(page: AppTest, label: str, nth: int = 0) -> None:
    [each for each in page.button if each.label == label][nth].click().run()
    assert not page.exception


def open_box(page: AppTest, index: int) -> None:
    opened = page.session_state.opened
    page.session_state[f"{opened}.mm.°C.forging.{index}.box"] = True
    page.run()


def test_steps_are_added_moved_copied_and_taken_out_and_their_boxes_stay_open(page):
    for number in (1, 3, 4, 5, 6):
        page.session_state[f"group {number}"] = False
    page.run()
    assert steps_of(page) == ["consolidate", "press", "trim"]
    assert boxes_of(page) == [False] * 3
    open_box(page, 1)
    assert boxes_of(page) == [False, True, False]
    control(page, "number_input", "Down to, mm").set_value(5.7).run()
    assert boxes_of(page) == [False, True, False]
    control(page, "selectbox", "Another step").set_value("trim").run()
    control(page, "selectbox", "It comes").set_value(1).run()
    press_button(page, "Add")
    assert steps_of(page) == ["consolidate", "trim", "press", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    for side in ("below", "above"):  # the blade is to stay inside the bar
        control(page, "number_input", f"Faces, {side}, mm").set_value(0.0).run()
    press_button(page, "Down")  # the new one, after the press
    assert steps_of(page) == ["consolidate", "press", "trim", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    press_button(page, "Copy")
    assert steps_of(page) == ["consolidate", "press", "press", "trim", "trim"]
    assert not page.error  # what has been pressed so thin already goes a little further down
    assert page.session_state.table["forging"][2]["height"] == 5.1
    press_button(page, "Take out", 1)
    assert steps_of(page) == ["consolidate", "press", "trim", "trim"]
    for _ in range(3):
        press_button(page, "Undo")
    assert steps_of(page) == ["consolidate", "trim", "press", "trim"]
    assert boxes_of(page) == [False, True, True, False]
    press_button(page, "Redo")
    press_button(page, "Take out", 1)
    assert steps_of(page) == ["consolidate", "press", "trim"]
    assert boxes_of(page) == [False, True, False]
    assert page.session_state.table["forging"][1]["height"] == 5.7


def test_milling_asks_for_no_heat(page):
    open_box(page, 2)
    assert control(page, "number_input", "Faces, below, mm")
    assert not [each for each in page.checkbox if each.label == "A heat of its own"]
    open_box(page, 1)
    assert control(page, "checkbox", "A heat of its own").value


def test_a_larger_blade_gets_a_larger_can(page):
    control(page, "number_input", "Blade length, mm").set_value(300.0).run()
    assert any("Blade length moved to" in each.value for each in page.caption)
    take = next(each for each in page.button if each.label.startswith("Make the can"))
    take.click().run()
    assert not page.exception
    assert not page.error
    assert page.session_state.good.blade.outline.length == 300


def test_what_moved_comes_back_once_it_is_possible_again(page):
    open_box(page, 1)
    length = page.session_state.good.blade.outline.length
    for height, stays in ((10.0, False), (5.6, True)):
        control(page, "number_input", "Down to, mm").set_value(height).run()
        assert (page.session_state.good.blade.outline.length == length) is stays
        assert any("Blade length moved to" in each.value for each in page.caption) is not stays


def open_job(page: AppTest, **tables) -> None:
    """Open a job with a short blade; another one of the page's own may lie there."""
    job = make_job(
        {
            "pattern": {"picture": "plain_start.png"}, "folder": DEMOS, "forging": [{"step": "consolidate"}],
            "can": {"length": 120, "width": 30, "height": 50, "wall": 0, "fill_density": 0.6},
            "blade": {"thickness": 4, "outline": {"length": 50, "height": 20}},
        }
    )  # fmt: skip
    table = {**job.model_dump(mode="json", exclude_none=True), "folder": job.folder, "forge": None, **tables}
    page.session_state.table = table
    page.session_state.opened += 1
    page.run()


def seems_well(page: AppTest, what: str) -> None:
    assert not page.exception, what
    assert not page.error, f"{what}: {page.error[0].value}"


@pytest.mark.slow
def test_every_step_there_is_can_be_added(page):
    """Each starts from its example, on a bar that may be twisted too, and loose for the one that welds."""
    for number in (1, 3, 4, 5, 6):
        page.session_state[f"group {number}"] = False  # the others' controls take time and are not asked for
    for step in STEPS:
        forging = [] if step.welds else [{"step": "consolidate", "shares": {"along": 0, "across": 0, "through": 1}}]
        open_job(page, forging=forging)
        name = step.model_fields["step"].default
        control(page, "selectbox", "Another step").set_value(name).run()
        control(page, "button", "Add").click().run()
        seems_well(page, name)
        assert type(page.session_state.good.forging[-1]) is step
        before = page.session_state.good.history.bars[-2]
        assert page.session_state.good.forging[-1].words(METRIC) == step.example(before).words(METRIC)


@pytest.mark.slow
def test_no_error_is_the_first_answer_to_a_step_added_or_copied(page):
    for number in (1, 3, 4, 5, 6):
        page.session_state[f"group {number}"] = False
    page.run()
    first = page.session_state.good.forging
    for kind in STEPS:
        name, places = kind.model_fields["step"].default, None
        while places is None or places:
            control(page, "selectbox", "Another step").set_value(name).run()
            offered = [each for each in page.selectbox if each.label == "It comes"]
            if places is None:
                places = [3, 2, 1, 0][: len(offered[0].options)] if offered else []
                assert bool(places) == (name not in {"consolidate", "twist"})  # told why not, instead
            if places:
                offered[0].set_value(places.pop())
                press_button(page, "Add")
                seems_well(page, name)
                press_button(page, "Undo")
                assert page.session_state.good.forging == first
    for index in range(3):
        open_box(page, index)
        copy = next(each for each in page.button if each.label == "Copy")
        assert copy.disabled == (index == 0)  # what is solid is not consolidated again
        if not copy.disabled:
            press_button(page, "Copy")
            seems_well(page, f"copy of {index}")
            press_button(page, "Undo")
        page.session_state[f"{page.session_state.opened}.mm.°C.forging.{index}.box"] = False
        page.run()


def test_a_step_that_leaves_too_small_a_bar_says_so_and_an_error_alone_stands_under_the_blade(page):
    open_box(page, 1)
    control(page, "number_input", "Down to, mm").set_value(40.0).run()
    assert not page.error
    assert any("Down to moved to 32.5 mm: the most that this bar's thickness allows" in each for each in moved(page))
    captions = [each.value.replace("\\", "") for each in page.caption]
    assert any("too small for the blade. Moved: Blade length to" in each for each in captions)
    press_button(page, "Undo")
    control(page, "number_input", "Tang, mm").set_value(250.0).run()
    assert any("The tang reaches" in each.value for each in page.warning)
    page.session_state.table["powders"][0]["colours"] = []
    page.run()
    assert page.error
    assert not page.warning


@pytest.mark.slow
def test_every_grind_and_outline_there_is_can_be_chosen(page):
    open_job(page)
    for kind in GRIND_KINDS.keys() - {"none"}:  # the page's one grind of both faces
        control(page, "selectbox", "Grind").set_value(kind).run()
        seems_well(page, kind)
        assert page.session_state.good.grind.right.kind == kind
    assert "drawn" not in control(page, "selectbox", "Outline").options  # it needs a drawing first
    for shape in control(page, "selectbox", "Outline").options:
        control(page, "selectbox", "Outline").set_value(shape).run()
        seems_well(page, shape)
        assert page.session_state.good.blade.outline.shape == shape


def test_left_face_alone(page):
    control(page, "checkbox", "Left face ground differently").check().run()
    kinds = [each for each in page.selectbox if each.label == "Grind"]
    kinds[1].set_value("none").run()
    assert not page.exception
    assert page.session_state.good.grind.bevel("left").kind == "none"
    assert page.session_state.good.grind.right.kind == "flat"


def upload(page: AppTest, name: str, content: bytes) -> AppTest:
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value((name, content, "image/png")).run()
    return page


def test_own_picture(page):
    stream = io.BytesIO()
    Image.fromarray(np.uint8(np.indices((60, 160)).sum(axis=0) // 20 % 2 * 255)).save(stream, "PNG")
    before = picture(page)
    upload(page, "../my checks.png", stream.getvalue())
    assert not page.exception
    assert not page.error
    assert page.session_state.good.pattern.picture == "my checks.png"
    assert picture(page).shape != before.shape or (picture(page) != before).any()


def test_own_job_file_with_its_picture(page):
    """The picture that was uploaded stands in for the one the job file names."""
    demo = DEMO_JOBS[0].parent / "running_wave.toml"
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value(("wave.png", demo.with_suffix(".png").read_bytes(), "image/png"))
    page.file_uploader(key="job_file").set_value(("mine.toml", demo.read_bytes(), "application/toml")).run()
    assert not page.exception
    assert not page.error
    assert page.session_state.good.title.startswith("Running wave")
    assert page.session_state.good.pattern.picture == "wave.png"


def test_a_job_file_with_faults_says_each_on_a_line(page):
    demo = DEMO_JOBS[0].parent / "running_wave.png"
    bad = b'[pattern]\npicture = "p.png"\n[can]\nwall = -1\n[etch]\nminutes = -2\n'
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value(("wave.png", demo.read_bytes(), "image/png"))
    page.file_uploader(key="job_file").set_value(("mine.toml", bad, "application/toml")).run()
    assert not page.exception
    assert "- The can, Wall" in page.error[0].value
    assert "- The etch, Minutes in the etch" in page.error[0].value


@pytest.mark.parametrize("content", [b"", b"not a picture", b"\x89PNG\r\n\x1a\n"])
def test_a_broken_picture_is_refused_in_words_and_the_last_one_stays(page, content):
    before = picture(page)
    upload(page, "broken.png", content)
    assert not page.exception
    assert "broken.png" in page.error[0].value
    assert "/tmp" not in page.error[0].value
    np.testing.assert_array_equal(picture(page), before)


def open_panel(page: AppTest, tab: str, panel: str) -> None:
    page.session_state["below"], page.session_state[tab] = tab, panel
    page.run()


def said(page: AppTest) -> str:
    """Return the words of the page's tables, notes and small print."""
    tables = [cell for each in page.table for column in each.value.items() for cell in (column[0], *column[1])]
    heads = [head for each in page.table for head in each.value.index]
    written = [each.value for kind in ("warning", "error", "caption") for each in getattr(page, kind)]
    return "\n".join(map(str, (*tables, *heads, *written)))


@pytest.mark.slow
def test_a_powder_called_as_a_size_keeps_its_name(page):
    """All else is told in inches and °F."""
    powders = [
        {**powder, "name": name} for powder, name in zip(page.session_state.table["powders"], NAMES, strict=True)
    ]
    page.session_state["inches"] = page.session_state["fahrenheit"] = True
    open_job(
        page, powders=powders, pattern={"picture": "fine_rain.png", "dividers": "through", "transparent": NAMES[0]}
    )
    for tab, panel in (("Look closer", "Numbers"), ("Fill the can", "Powder and bar")):
        open_panel(page, tab, panel)
        assert not page.exception
        words = said(page)
        for name in NAMES:
            assert name in words
            words = words.replace(name, "")
        assert " in" in words
        assert " mm" not in words.replace("25 mm (1 inch)", "")
        assert "°C" not in words


@pytest.mark.slow
def test_the_can_is_filled_as_its_powders_tap(page):
    """Water-atomised powder, 3.5 to 3.9 g/cm3, where gas-atomised was meant: 0.475 of solid; a tenth is dividers."""
    for kind in (each for each in page.selectbox if "unknown" in each.options):
        kind.set_value("water-atomised, -100 mesh")
    page.run()
    control(page, "button", "Fill it as the powders tap").click().run()
    assert not page.exception
    assert not page.error
    filled = page.session_state.good.can.fill_density
    assert filled == pytest.approx(0.475 * 0.9, rel=0.01)
    assert control(page, "slider", "Fill density").value == filled


def test_walls_thinner_than_any_bead_are_refused_in_words(page):
    open_panel(page, "Fill the can", "Powder and bar")
    control(page, "number_input", "Dividers' walls, mm").set_value(0.05).run()
    assert not page.exception
    assert "Bead: " in page.error[0].value
    control(page, "number_input", "Dividers' walls, mm").set_value(0.0).run()
    assert not page.error


def test_every_control_has_words(page):
    for kind in ("slider", "number_input", "selectbox", "checkbox", "button"):
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
def test_the_page_speaks_the_words_of_the_trade(page):
    found = set()
    for tab, panels in PANELS.items():
        for panel in panels:
            open_panel(page, tab, panel)
            if tab == "Try grinds":
                control(page, "text_input", "Up to twelve (mm), with commas between").set_value("12, 99").run()
                page.button(key="try_them").click().run()
                assert any("99 mm is left out: " in each.value for each in page.warning)
            assert not page.exception
            words = all_words(page)
            assert len(words) > 200
            found |= {each for each in words if re.search(NO_WORDS_OF_THE_TRADE, each)}
    assert not found
