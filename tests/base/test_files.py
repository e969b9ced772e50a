from __future__ import annotations

import os

import pytest

from preview.base.errors import FileError
from preview.base.files import read_bytes, read_text, write_into


def test_reading(tmp_path):
    path = tmp_path / "a.txt"
    path.write_bytes(b"\xef\xbb\xbfh\xc3\xa9")
    assert read_text(path, 100, "a letter") == "hé"
    assert read_bytes(path, 6, "a letter") == path.read_bytes()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none", "no such file; a letter is needed"),
        (".", r"cannot be read \(.*; a letter is needed"),
        ("a\0b", r"cannot be read"),
        ("large", "over 1 MB, too large for a letter"),
        ("latin", "a letter has to be UTF-8 text; byte 1 is not"),
    ],
)
def test_what_cannot_be_read_is_told(tmp_path, name, words):
    (tmp_path / "large").write_bytes(b" " * 1_000_001)
    (tmp_path / "latin").write_bytes("hé".encode("latin-1"))
    with pytest.raises(FileError, match=words) as caught:
        read_text(tmp_path / name, 1_000_000, "a letter")
    assert "\n" not in str(caught.value)


def test_a_missing_folder_is_made(tmp_path):
    paths = write_into(tmp_path / "out", {"a.txt": b"a", "deeper/b.txt": b"b"})
    assert [path.read_bytes() for path in paths] == [b"a", b"b"]
    with pytest.raises(FileError, match=r"a\.txt: exists already"):
        write_into(tmp_path / "out", {"a.txt": b"c", "new.txt": b"c"})
    assert not (tmp_path / "out" / "new.txt").exists()


@pytest.mark.parametrize(
    ("folder", "words"), [("no/such", "no such folder"), ("a_file", "is a file; a folder is needed")]
)
def test_folders_that_cannot_be(tmp_path, folder, words):
    (tmp_path / "a_file").write_text("mine")
    with pytest.raises(FileError, match=words):
        write_into(tmp_path / folder, {"a.txt": b"a"})
    assert [path.name for path in tmp_path.iterdir()] == ["a_file"]


def test_nothing_is_left_of_what_could_not_be_written_whole(tmp_path, monkeypatch):
    real, done = os.replace, []

    def full(source, target):
        if done:
            raise OSError(28, "No space left on device", str(source))
        done.append(target)
        real(source, target)

    monkeypatch.setattr("preview.base.files.os.replace", full)
    with pytest.raises(FileError, match=r"b\.txt: cannot be written \(No space left on device\)"):
        write_into(tmp_path / "out", {"a.txt": b"a", "deeper/b.txt": b"b"})
    assert not list(tmp_path.iterdir())
