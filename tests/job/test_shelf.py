"""A visitor's named jobs: kept at once, with their history, whatever other tabs do."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor

import pytest
from PIL import Image

from preview.base.errors import FileError
from preview.base.files import put_into
from preview.job.calibration import Calibration
from preview.job.file import files_of, job_files, load_job
from preview.job.shelf import MOST_BINNED, MOST_STATES, Shelf
from tests.conftest import DEMOS


@pytest.fixture
def shelf(tmp_path):
    (tmp_path / "visitor").mkdir()
    return Shelf(tmp_path / "visitor")


def etched(job, minutes):
    return job.model_copy(update={"etch": job.etch.model_copy(update={"minutes": float(minutes)})})


def undo(shelf, id):
    return shelf.go_to(id, shelf.before(id))


def redo(shelf, id):
    return shelf.go_to(id, shelf.after(id))


def files(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_job_outlives_a_reload(shelf):
    job = load_job(DEMOS / "three_steels.toml")
    id = shelf.keep(job)
    again = Shelf(shelf.folder)
    assert again.opened == id
    opened = again.open(id)
    assert opened.model_copy(update={"folder": job.folder}) == job
    assert files_of(opened) == files_of(job)


def test_a_job_is_read_without_being_opened(shelf, make):
    version, opened = shelf.keep(etched(make(), 3)), shelf.keep(make())
    before = files(shelf.folder)
    assert shelf.read(version).etch.minutes == 3
    assert shelf.opened == opened
    assert files(shelf.folder) == before


def test_looking_at_a_demo_changes_nothing(shelf, make):
    shelf.keep(make())
    before = files(shelf.folder)
    load_job(DEMOS / "marsh_moon.toml")
    Shelf(shelf.folder).jobs()
    assert files(shelf.folder) == before


def test_several_jobs_by_name(shelf, make):
    job = make(title="Reed knife")
    first, second = shelf.keep(job), shelf.keep(job)
    third = shelf.keep(make(), name="  For\nthe   kitchen ")
    assert [each.name for each in shelf.jobs()] == ["For the kitchen", "Reed knife 2", "Reed knife"]
    shelf.rename(first, "For the kitchen")
    shelf.rename(second, "Reed knife 2")
    shelf.set_picture(third, b"small")
    fourth = shelf.copy(third)
    kept = {each.id: each for each in shelf.jobs()}
    names = ("For the kitchen 2", "Reed knife 2", "For the kitchen", "For the kitchen, copy")
    assert tuple(kept[id].name for id in (first, second, third, fourth)) == names
    assert kept[third].picture == kept[fourth].picture == b"small"
    assert kept[first].picture is None
    assert kept[third].changed < kept[fourth].changed
    assert shelf.opened == fourth


def test_a_job_without_any_name(shelf, make):
    shelf.keep(make(), name="n" * 500)
    shelf.keep(make())
    assert {each.name for each in shelf.jobs()} == {"n" * 80, "Blade"}


def test_undo_and_redo_survive_a_reload(shelf, make):
    job = make()
    id = shelf.keep(etched(job, 1))
    for minutes in (2, 3, 3):
        shelf.keep(etched(job, minutes), id)
    assert len(shelf.past(id)) == 3
    assert undo(shelf, id).etch.minutes == 2
    again = Shelf(shelf.folder)
    assert again.open(id).etch.minutes == 2
    assert undo(again, id).etch.minutes == 1
    assert again.before(id) is None
    assert redo(again, id).etch.minutes == 2
    assert redo(again, id).etch.minutes == 3
    assert again.after(id) is None


def test_a_change_after_an_undo_loses_nothing(shelf, make):
    job = make()
    id = shelf.keep(etched(job, 1))
    shelf.keep(etched(job, 2), id)
    undo(shelf, id)
    shelf.keep(etched(job, 3), id)
    assert shelf.after(id) is None
    assert undo(shelf, id).etch.minutes == 1
    assert redo(shelf, id).etch.minutes == 3
    assert shelf.go_to(id, shelf.past(id)[1]).etch.minutes == 2


def test_each_state_has_the_picture_it_had(shelf, make, tmp_path):
    job = make()
    id = shelf.keep(job)
    old = job.picture_path.read_bytes()
    for minutes in range(20, 30):
        shelf.keep(etched(job, minutes), id)
    assert len(list(shelf.folder.rglob("*.png"))) == 1
    Image.new("L", (20, 20), 255).save(tmp_path / "pattern.png")
    shelf.keep(job, id)
    assert shelf.open(id).picture_path.read_bytes() != old
    assert undo(shelf, id).picture_path.read_bytes() == old


def test_each_state_has_the_calibration_it_had(shelf, make):
    job = make().model_copy(update={"calibration": "forge.toml", "forge": Calibration(friction=0.3)})
    id = shelf.keep(job)
    shelf.keep(job.model_copy(update={"forge": Calibration(friction=0.4)}), id)
    assert shelf.open(id).forge.friction == 0.4
    assert undo(shelf, id).forge.friction == 0.3


def test_the_history_is_bounded_and_so_are_its_files(shelf, make, tmp_path):
    job = make()
    id = shelf.keep(job)
    (first,) = shelf.folder.glob("jobs/*/files/*")
    Image.new("L", (20, 20), 255).save(tmp_path / "pattern.png")
    for minutes in range(1, MOST_STATES):
        shelf.keep(etched(job, minutes), id)
    os.utime(first, (1, 1))
    assert shelf.past(id)[0].kept.year >= 2024
    shelf.keep(etched(job, 500), id)
    assert len(shelf.past(id)) == MOST_STATES
    assert not first.exists()
    assert shelf.open(id).picture_path.exists()


def test_a_deleted_job_comes_back(shelf, make):
    id = shelf.keep(make(), name="one")
    shelf.keep(etched(make(), 3), id)
    shelf.delete(id)
    assert shelf.jobs() == ()
    assert shelf.opened is None
    assert [each.name for each in Shelf(shelf.folder).binned()] == ["one"]
    shelf.bring_back(id)
    assert shelf.binned() == ()
    assert shelf.open(id).etch.minutes == 3
    assert len(shelf.past(id)) == 2


def test_the_bin_is_bounded(shelf, make):
    job = make()
    for number in range(MOST_BINNED + 2):
        id = shelf.keep(job, name=f"job {number}")
        shelf.delete(id)
        os.utime(shelf.folder / "bin" / id, (number + 1, number + 1))
    shelf.delete(shelf.keep(job, name="last"))
    names = {each.name for each in shelf.binned()}
    assert len(names) == MOST_BINNED
    assert "last" in names
    assert "job 0" not in names


def test_a_job_deleted_in_another_tab_is_kept_all_the_same(shelf, make):
    id = shelf.keep(make())
    Shelf(shelf.folder).delete(id)
    assert shelf.keep(etched(make(), 7), id) == id
    assert [each.id for each in shelf.jobs()] == [id]
    assert shelf.binned() == ()


def test_tabs_that_write_at_once_lose_nothing(shelf, make):
    job = make()
    id = shelf.keep(job)
    with ThreadPoolExecutor(8) as tabs:
        list(tabs.map(lambda minutes: Shelf(shelf.folder).keep(etched(job, minutes), id), range(1, 41)))
    minutes = {shelf.go_to(id, state).etch.minutes for state in shelf.past(id)}
    assert {float(each) for each in range(1, 41)} <= minutes
    assert not [path for path in shelf.folder.rglob(".*") if path.is_file()]


def test_a_full_disk_leaves_the_last_change_as_it_was(shelf, make, monkeypatch):
    job = make()
    id = shelf.keep(etched(job, 1))
    before = files(shelf.folder)

    def refuse(**_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("preview.base.whole_sets.tempfile.mkdtemp", refuse)
        with pytest.raises(FileError, match="No space left"):
            shelf.keep(etched(job, 2), id)
    assert files(shelf.folder) == before
    assert shelf.open(id).etch.minutes == 1


def test_a_lost_note_of_what_holds_loses_no_job(shelf, make):
    job = make()
    id = shelf.keep(etched(job, 1), name="one")
    shelf.keep(etched(job, 2), id)
    for name in ("now", "name"):
        (shelf.folder / "jobs" / id / name).write_bytes(b"\xff")
    (kept,) = shelf.jobs()
    assert kept.changed.year >= 2024
    assert shelf.open(id).etch.minutes == 2


def test_work_of_the_earlier_layout_opens(tmp_path, make):
    folder = tmp_path / "visitor"
    put_into(folder, job_files(make(title="From before")))
    before = files(folder)
    shelf = Shelf(folder)
    assert [each.name for each in shelf.jobs()] == ["From before"]
    assert shelf.opened == shelf.jobs()[0].id
    assert len(Shelf(folder).jobs()) == 1
    assert before.items() <= files(folder).items()
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "job.toml").write_text("[")
    assert Shelf(tmp_path / "broken").jobs() == ()


@pytest.mark.parametrize("id", ["", "../jobs", "0" * 12, "z" * 12])
def test_a_job_that_is_not_there(shelf, make, id):
    shelf.keep(make())
    for ask in (shelf.open, shelf.copy, shelf.delete, shelf.bring_back, shelf.past, shelf.before):
        with pytest.raises(FileError, match="no longer kept"):
            ask(id)
    with pytest.raises(FileError, match="no longer kept"):
        shelf.keep(make(), id)


def test_work_on_a_job_counts_as_the_visitors(shelf, make):
    id = shelf.keep(make())
    os.utime(shelf.folder, (1, 1))
    shelf.keep(etched(make(), 3), id)
    assert shelf.folder.stat().st_mtime > 1
