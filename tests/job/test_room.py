"""How much visitors may keep, each and all together, how long, and what goes first; sizes are added up by hand."""

from __future__ import annotations

import gc
import os
import threading
import time
from pathlib import Path

import pytest

from preview.base.errors import FileError
from preview.job import room
from preview.job.file import load_job
from preview.job.room import LEFT_ALONE, Visit, make_room, taken
from preview.job.shelf import Shelf
from preview.job.work import new_draft, new_work, put_upload
from tests.conftest import DEMOS

DAY = 24 * 3600


def left_alone(folder: Path, seconds: float) -> Path:
    os.utime(folder, (time.time() - seconds,) * 2)
    return folder


def visitor(home: Path, alone: float = 0, size: int = 0, *, works: bool = True) -> Path:
    """Return the folder of a visitor, with or without work, that was left alone for so many seconds."""
    folder = home / new_work(home)
    if works:
        (folder / "jobs").mkdir()
        (folder / "jobs" / "content").write_bytes(bytes(size))
    return left_alone(folder, alone)


def test_what_is_promised():
    """What the page says before anything is uploaded; and all of it fits a disk of our days."""
    assert room.MOST_OF_ONE == 500_000_000
    assert room.MOST_OF_ALL == 10_000_000_000
    assert room.DAYS_KEPT == 180


def test_a_visitors_uploads_go_oldest_first(tmp_path, monkeypatch):
    monkeypatch.setattr(room, "MOST_OF_ONE", 250)
    places = []
    for number in range(4):
        places.append(put_upload(tmp_path, {"p.png": bytes([number]) * 100}))
        left_alone(places[-1], 100 - number)
    assert [place.exists() for place in places] == [False, False, True, True]
    assert taken(tmp_path) == 200
    with pytest.raises(FileError, match=r"no room for another 1 MB.*delete what you need no longer"):
        put_upload(tmp_path, {"p.png": bytes(251)})


def test_what_was_deleted_goes_before_work_is_refused(tmp_path, monkeypatch):
    job, shelf = load_job(DEMOS / "plain_start.toml"), Shelf(tmp_path)
    shelf.delete(shelf.keep(job))
    kept = shelf.keep(job)
    one = taken(tmp_path / "jobs" / kept)
    monkeypatch.setattr(room, "MOST_OF_ONE", int(2.5 * one))
    assert len(shelf.binned()) == 1
    shelf.keep(job)  # a third one has room only without the deleted one
    assert shelf.binned() == ()
    with pytest.raises(FileError, match="your work here takes"):
        shelf.keep(job)
    assert len(shelf.jobs()) == 2
    assert len(list((tmp_path / "jobs").iterdir())) == 2  # nothing is left of what was refused
    shelf.keep(job.model_copy(update={"title": "a change needs no room for files"}), kept)


def test_all_together_are_bounded_and_those_left_alone_longest_go(tmp_path, monkeypatch):
    monkeypatch.setattr(room, "MOST_OF_ALL", 1000)
    old, older = visitor(tmp_path, 2 * DAY, 300), visitor(tmp_path, 3 * DAY, 300)
    looked = visitor(tmp_path, LEFT_ALONE + 60, works=False)
    mine = visitor(tmp_path, 0, 300)
    make_room(mine, 100)
    assert all(path.is_dir() for path in (old, older, looked, mine))
    make_room(mine, 101)
    assert [path.is_dir() for path in (old, older, looked, mine)] == [True, False, False, True]
    put_upload(mine, {"p.png": bytes(400)})
    with pytest.raises(FileError, match="all visitors together"):
        make_room(mine, 1000)
    assert not old.is_dir()


def test_what_a_page_has_open_never_goes(tmp_path, monkeypatch):
    monkeypatch.setattr(room, "MOST_OF_ALL", 1000)
    monkeypatch.setattr(room, "MOST_KEPT", 2)
    shown, elsewhere = visitor(tmp_path, 0, 400), visitor(tmp_path, 0, 400)
    visit = Visit(shown)
    left_alone(shown, 400 * DAY)
    left_alone(elsewhere, LEFT_ALONE - 60)  # another server's page may have it open
    mine = visitor(tmp_path)
    with pytest.raises(FileError, match="all visitors together"):
        make_room(mine, 300)
    assert shown.is_dir()
    assert elsewhere.is_dir()
    del visit
    gc.collect()
    make_room(mine, 300)
    assert not shown.is_dir()


def test_work_is_kept_for_so_many_days_after_it_was_opened(tmp_path):
    old, older = visitor(tmp_path, 179 * DAY), visitor(tmp_path, 181 * DAY)
    looked, logs = visitor(tmp_path, 1.1 * DAY, works=False), visitor(tmp_path, works=False)
    (logs / "log").mkdir()
    left_alone(logs, 1.1 * DAY)
    (tmp_path / "not ours").mkdir()
    left_alone(tmp_path / "not ours", 999 * DAY)
    new_work(tmp_path)
    assert [path.is_dir() for path in (old, older, looked, logs, tmp_path / "not ours")] == [
        True, False, False, True, True
    ]  # fmt: skip
    Visit(old)
    assert time.time() - old.stat().st_mtime < 60


def test_those_who_only_look_push_nobodys_work_out(tmp_path, monkeypatch):
    monkeypatch.setattr(room, "MOST_KEPT", 10)
    mine = visitor(tmp_path, 100 * DAY)
    for _ in range(30):
        visitor(tmp_path, LEFT_ALONE + 60, works=False)
    assert mine.is_dir()
    assert len(list(tmp_path.iterdir())) == 10


def test_a_draft_has_a_place_of_its_own(tmp_path):
    one, other = new_draft(tmp_path), new_draft(tmp_path)
    assert one != other
    assert one.parent == put_upload(tmp_path, {"p.png": b""}).parent


def test_many_threads_keep_the_bounds(tmp_path, monkeypatch):
    """Eight visitors at once: no error, and what is left is within the bounds but for what was just being written."""
    monkeypatch.setattr(room, "MOST_OF_ONE", 5_000)
    monkeypatch.setattr(room, "MOST_OF_ALL", 20_000)
    failed: list[Exception] = []
    folders = [visitor(tmp_path) for _ in range(8)]
    visits = [Visit(folder) for folder in folders]

    def upload(number: int) -> None:
        try:
            for each in range(40):
                put_upload(folders[number], {"p.png": bytes([number, each]) * 300})
        except FileError as error:
            if "all visitors together" not in str(error):
                failed.append(error)
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=upload, args=(number,)) for number in range(8)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert not failed
    assert all(taken(each.folder) <= 5_000 for each in visits)
    assert taken(tmp_path) <= 20_000 + 8 * 600
