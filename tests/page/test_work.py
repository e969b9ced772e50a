"""A visitor's jobs on the page: looked at, changed, kept, found again, by Streamlit's AppTest."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from preview.job.file import dump_job, load_job, pack_job
from preview.job.work import new_work, work_folder, work_home
from tests.conftest import DEMOS
from tests.page.visiting import control, names, open_panel, picture, press, shelf, visit

EDGE = "Edge before sharpening, mm"


def enabled(page: AppTest, label: str) -> bool:
    return not control(page, "button", label).disabled


def set_edge(page: AppTest, value: float) -> None:
    control(page, "number_input", EDGE).set_value(value).run()
    assert not page.exception


def edge(page: AppTest) -> float:
    return page.session_state.good.grind.edge


def my_work(page: AppTest) -> None:
    page.button(key="my_work").click().run()
    assert not page.exception


def stripes(size: tuple[int, int] = (160, 60)) -> bytes:
    stream = io.BytesIO()
    rows, columns = size[1], size[0]
    Image.fromarray(np.uint8(np.indices((rows, columns)).sum(axis=0) // 20 % 2 * 255)).save(stream, "PNG")
    return stream.getvalue()


def upload(page: AppTest, name: str, content: bytes) -> None:
    page.selectbox(key="start").set_value("My own pattern").run()
    page.file_uploader(key="picture").set_value((name, content, "image/png")).run()
    assert not page.exception


@pytest.fixture
def page() -> AppTest:
    return visit()


def test_the_first_change_makes_it_a_job_of_his(page):
    demo = (DEMOS / "marsh_moon.toml").read_bytes()
    start = edge(page)
    set_edge(page, 0.5)
    assert names(page) == ["Marsh moon"]
    assert (DEMOS / "marsh_moon.toml").read_bytes() == demo
    assert not any("looking at a demo" in each.value for each in page.caption)
    assert page.selectbox(key="start").value is None
    assert enabled(page, "Undo")
    assert not enabled(page, "Redo")
    press(page, "Undo")
    assert edge(page) == start
    assert control(page, "number_input", EDGE).value == start
    assert not enabled(page, "Undo")
    press(page, "Redo")
    assert edge(page) == 0.5
    assert names(page) == ["Marsh moon"]


@pytest.mark.slow
def test_undo_and_redo_go_across_a_reload(page):
    start = edge(page)
    for value in (0.4, 0.5, 0.6):
        set_edge(page, value)
    press(page, "Undo")
    again = visit(of=page)
    assert edge(again) == 0.5
    np.testing.assert_array_equal(picture(again), picture(page))
    press(again, "Redo")
    assert edge(again) == 0.6
    again = visit(of=again)
    for value in (0.5, 0.4, start):
        press(again, "Undo")
        assert edge(again) == value
    assert not enabled(again, "Undo")
    press(again, "Redo")
    assert edge(again) == 0.4
    set_edge(again, 0.7)
    assert not enabled(again, "Redo")


@pytest.mark.slow
def test_looking_at_a_demo_leaves_the_work_as_it_was(page):
    set_edge(page, 0.5)
    mine = picture(page)
    page.selectbox(key="start").set_value("running_wave").run()
    again = visit(of=page)
    assert again.session_state.demo == "running_wave"
    assert names(again) == ["Marsh moon"]
    again.button(key="back").click().run()
    assert edge(again) == 0.5
    np.testing.assert_array_equal(picture(again), mine)
    assert enabled(again, "Undo")
    assert "demo" not in again.query_params
    only_work = visit(work=again.session_state.work)
    assert edge(only_work) == 0.5


@pytest.mark.slow
def test_a_fresh_visitor_finds_the_demo_again_that_was_looked_at(page):
    page.selectbox(key="start").set_value("running_wave").run()
    again = visit(of=page)
    assert again.session_state.demo == "running_wave"
    assert names(again) == []


def test_a_link_with_a_demo_that_is_not_there_opens_the_work(page):
    set_edge(page, 0.5)
    again = visit(work=page.session_state.work, demo="../marsh_moon")
    assert edge(again) == 0.5


@pytest.mark.slow
def test_copy_rename_delete_and_bring_back(page):
    set_edge(page, 0.5)
    my_work(page)
    press(page, "Copy, and open the copy")
    assert set(names(page)) == {"Marsh moon", "Marsh moon, copy"}
    assert page.session_state.name == "Marsh moon, copy"
    set_edge(page, 0.6)
    my_work(page)
    field = next(each for each in page.text_input if each.value == "Marsh moon, copy")
    field.set_value("Hunter *for* Ann")
    press(page, "Rename")
    assert page.session_state.name == "Hunter *for* Ann"
    my_work(page)
    press(page, "Delete")  # of the first card: what changed last
    assert names(page) == ["Marsh moon"]
    assert page.session_state.demo == "marsh_moon"
    my_work(page)
    press(page, "Bring it back")
    assert set(names(page)) == {"Marsh moon", "Hunter *for* Ann"}
    assert page.session_state.name == "Hunter *for* Ann"
    assert edge(page) == 0.6
    my_work(page)
    press(page, "Open", nth=1)
    assert page.session_state.name == "Marsh moon"
    assert edge(page) == 0.5


def test_a_version_is_kept_and_stands_beside_the_work_on_the_sheet(page):
    """As it was when it was kept; the work stays open, and the sheet is made of both."""
    set_edge(page, 0.7)
    open_panel(page, "Hand over", "Sheets")
    name = page.session_state.name
    page.button(key="keep_version").click().run()
    assert not page.exception
    assert page.session_state.name == name
    version = control(page, "multiselect", "Versions beside it, to choose from")
    assert version.value == page.session_state.beside
    assert version.options == [f"{name}, version"]
    set_edge(page, 0.9)
    (kept,) = page.session_state.beside
    assert shelf(page).read(kept).grind.edge == 0.7
    assert shelf(page).opened == page.session_state.job != kept
    assert edge(page) == 0.9
    control(page, "multiselect", "Versions beside it, to choose from").set_value([]).run()
    assert page.session_state.beside == []


def test_every_job_has_its_picture(page):
    set_edge(page, 0.5)
    (kept,) = shelf(page).jobs()
    with Image.open(io.BytesIO(kept.picture)) as small:
        assert small.format == "JPEG"
        assert 240 <= small.width < 330  # 240 from heel to tip, and what is seen of the handle
    my_work(page)
    assert any(each.proto.imgs[0].alt == "The blade of Marsh moon." for each in page.get("image"))


@pytest.mark.slow
def test_begin_a_new_one(page):
    my_work(page)
    page.button(key="new_usual").click().run()
    assert page.session_state.good.pattern.picture == "plain_start.png"
    my_work(page)
    page.selectbox(key="new_demo").set_value("running_wave")
    page.button(key="new_from_demo").click().run()
    assert names(page) == ["Running wave", "Blade"]


def test_one_file_takes_everything_to_another_visitor(page):
    upload(page, "my checks.png", stripes())
    set_edge(page, 0.5)
    packed = pack_job(page.session_state.good)
    other = visit()
    assert other.session_state.work != page.session_state.work
    upload(other, "Hunter_for Ann.zip", packed)
    assert not other.error
    assert names(other) == ["Hunter for Ann"]
    assert dump_job(other.session_state.good) == dump_job(page.session_state.good)
    np.testing.assert_array_equal(picture(other), picture(page))


def test_what_cannot_be_opened_is_refused_in_words_and_the_last_picture_stays(page):
    before = picture(page)
    pictures = [("broken.png", each, "broken.png") for each in (b"", b"not a picture", b"\x89PNG\r\n\x1a\n")]
    for name, content, words in (*pictures, ("broken.zip", b"nothing", "not a packed file")):
        upload(page, name, content)
        assert words in page.error[0].value
        assert "/" not in page.error[0].value
        assert any("may take 500 MB in all" in each.value for each in page.caption)  # told before
    assert names(page) == []
    np.testing.assert_array_equal(picture(page), before)


def test_an_uploaded_picture_is_shown_and_keeps_its_proportions(page):
    before = picture(page)
    upload(page, "../my checks.png", stripes((300, 50)))
    assert not page.error
    assert page.session_state.good.pattern.picture == "my checks.png"
    width, height = page.session_state.good.pattern.size
    assert width / height == pytest.approx(6)
    assert names(page) == ["my checks"]
    assert picture(page).shape != before.shape or (picture(page) != before).any()


@pytest.mark.slow
def test_a_job_file_may_follow_its_picture(page):
    demo = DEMOS / "running_wave.toml"
    upload(page, "w.png", demo.with_suffix(".png").read_bytes())
    page.file_uploader(key="job_file").set_value(("w.toml", demo.read_bytes(), "application/toml")).run()
    assert names(page) == ["w"]
    assert page.session_state.good.title == load_job(demo).title
    press(page, "Undo")
    assert page.session_state.good.title == ""


def exchange(page: AppTest, name: str, content: bytes) -> None:
    control(page, "file_uploader", "Another picture for this work").set_value((name, content, "image/png")).run()
    assert not page.exception


@pytest.mark.slow
def test_another_picture_keeps_the_sizes():
    page = visit(1)
    page.selectbox(key="start").set_value("running_wave").run()
    before = page.session_state.good
    exchange(page, "other.png", stripes((200, 100)))
    now = page.session_state.good
    assert names(page) == ["Running wave"]
    assert now.pattern.picture == "other.png"
    assert now.pattern.size[0] / now.pattern.size[1] == pytest.approx(2)
    same = {"pattern": before.pattern, "folder": before.folder}
    assert now.model_copy(update=same) == before
    exchange(page, "broken.png", b"no picture")
    assert "broken.png" in page.warning[0].value
    assert "/" not in page.warning[0].value
    assert page.session_state.good == now
    press(page, "Undo")
    assert page.session_state.good.pattern == before.pattern


def test_a_picture_of_the_same_name_leaves_the_other_job_its_own(page):
    for colour in (0, 255):
        content = io.BytesIO()
        Image.new("L", (40, 20), colour).save(content, "PNG")
        upload(page, "same.png", content.getvalue())
    tones = set()
    for each in shelf(page).jobs():
        with Image.open(shelf(page).open(each.id).picture_path) as laid:
            tones.add(laid.getpixel((0, 0)))
    assert tones == {0, 255}


@pytest.mark.slow
def test_the_picture_is_stretched_only_where_that_is_asked_for():
    page = visit(1)
    upload(page, "a.png", stripes((300, 50)))
    assert not control(page, "checkbox", "Fill the whole can (stretch it)").value
    control(page, "number_input", "Picture width, mm").set_value(60.0).run()
    assert page.session_state.good.pattern.size == pytest.approx((60, 10))
    assert control(page, "number_input", "Picture height, mm").value == pytest.approx(10)
    control(page, "number_input", "Off the middle, rightwards, mm").set_value(5.0).run()
    control(page, "number_input", "Turned, °").set_value(10.0).run()
    assert not page.error
    assert page.session_state.good.pattern.at == (5, 0)
    assert page.session_state.good.pattern.turn == 10
    control(page, "checkbox", "Keep proportions").uncheck().run()
    control(page, "number_input", "Picture height, mm").set_value(12.0).run()
    assert page.session_state.good.pattern.size == pytest.approx((60, 12))
    control(page, "checkbox", "Fill the whole can (stretch it)").check().run()
    assert page.session_state.good.pattern.size is None
    assert not page.session_state.good.pattern.placed
    control(page, "checkbox", "Fill the whole can (stretch it)").uncheck().run()
    width, height = page.session_state.good.pattern.size
    assert width / height == pytest.approx(6)
    control(page, "selectbox", "Dividers run").set_value("along").run()
    assert not page.error
    width, height = page.session_state.good.pattern.size
    assert width / height == pytest.approx(6)


@pytest.mark.slow
def test_work_of_the_earlier_layout_opens():
    name = new_work(work_home())
    folder = work_folder(work_home(), name)
    job = load_job(DEMOS / "running_wave.toml")
    (folder / "job.toml").write_text(dump_job(job), "utf-8")
    (folder / job.pattern.picture).write_bytes(job.picture_path.read_bytes())
    page = visit(work=name)
    assert page.session_state.good.title == job.title
    assert page.session_state.job is not None
    page.selectbox(key="start").set_value("marsh_moon").run()
    assert len(names(page)) == 1


@pytest.mark.slow
def test_a_job_that_another_window_deleted_is_kept_again_with_its_next_change(page):
    set_edge(page, 0.5)
    shelf(page).delete(page.session_state.job)
    set_edge(page, 0.6)
    assert names(page) == ["Marsh moon"]
    assert edge(visit(of=page)) == 0.6
