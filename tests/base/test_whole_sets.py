"""Sets of files written whole or not at all: the program killed, and the disk full, as the kernel says it."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from preview.base.errors import FileError
from preview.base.files import write_into
from preview.base.whole_sets import OLD, PART, WHOLE, put_in_place, sweep

ROOT = Path(__file__).parents[2]


def laid(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_killed_program_leaves_one_whole_set():
    kills = [sys.executable, "-m", "tests.hostile.killing", "--kills", "12"]
    done = subprocess.run(kills, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("12 kills")


def test_what_was_left_whole_moves_to_its_place_and_parts_go(tmp_path):
    stage = tmp_path / f"{WHOLE}x"
    for name, content in (("new/a.txt", b"new"), ("old/b.txt", b"old")):
        (stage / name).parent.mkdir(parents=True, exist_ok=True)
        (stage / name).write_bytes(content)
    part = tmp_path / f"{PART}x"
    part.mkdir()
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text("there")
    put_in_place(tmp_path, {"c.txt": b"c"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "b.txt", "c.txt"]
    assert (tmp_path / "a.txt").read_text() == "new"
    assert (tmp_path / "b.txt").read_text() == "there"


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_full_disk_changes_nothing(tmp_path):
    """The limit of a file's size, as the kernel holds it, stands for the end of the disk (setrlimit, POSIX)."""
    write_into(tmp_path / "out", {"a.txt": b"old", "deeper/b.txt": b"old"})
    before, limit = laid(tmp_path), resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, limit[1]))
    try:
        with pytest.raises(FileError, match=r"b\.txt: cannot be written"):
            write_into(tmp_path / "out", {"a.txt": b"new", "deeper/b.txt": bytes(60_000)}, force=True)
        with pytest.raises(FileError, match=r"b\.txt: cannot be written"):
            write_into(tmp_path / "fresh", {"a.txt": b"new", "deeper/b.txt": bytes(60_000)})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
    assert laid(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_what_lay_there_comes_back_where_a_file_cannot_move(tmp_path, monkeypatch):
    write_into(tmp_path, {"a.txt": b"old", "b.txt": b"old"})
    real = Path.replace

    def refuse(self, target):
        if self.name == "b.txt" and OLD not in (self.parent.name, Path(target).parent.name):
            raise OSError(28, "No space left on device", str(self))
        return real(self, target)

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(FileError, match=r"b\.txt: cannot be written \(No space left"):
        write_into(tmp_path, {"a.txt": b"new", "b.txt": b"new"}, force=True)
    assert laid(tmp_path) == {"a.txt": b"old", "b.txt": b"old"}


def test_a_folder_in_a_files_place_leaves_all_as_it_was(tmp_path):
    (tmp_path / "b.txt").mkdir()
    with pytest.raises(FileError, match=r"b\.txt: is a folder, and the name of a file is needed"):
        write_into(tmp_path, {"a.txt": b"a", "b.txt": b"b"}, force=True)
    assert [path.name for path in tmp_path.iterdir()] == ["b.txt"]


def test_many_write_at_once(tmp_path):
    def write(number):
        for _ in range(20):
            write_into(tmp_path, {f"{number}.txt": b"x", "all.txt": str(number).encode()}, force=True)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(4)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    sweep(tmp_path)
    assert sorted(laid(tmp_path)) == ["0.txt", "1.txt", "2.txt", "3.txt", "all.txt"]


@pytest.mark.parametrize(
    ("name", "words"),
    [("n" * 300, "File name too long"), ("a\0b", "null"), (os.fsdecode(b"out\xff"), "a name in UTF-8 is needed")],
)
def test_names_that_cannot_be_are_one_line(tmp_path, name, words):
    with pytest.raises(FileError, match=words) as caught:
        write_into(tmp_path / name, {"a.txt": b"a"})
    assert str(caught.value).isprintable()
    assert not list(tmp_path.iterdir())
