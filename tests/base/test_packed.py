"""Packed files, against hostile ones; made by the standard library's zipfile, which writes PKWARE's format."""

from __future__ import annotations

import io
import stat
import struct
import warnings
import zipfile

import pytest

from preview.base.errors import FileError
from preview.base.packed import LONGEST_NAME, MOST_MEMBERS, pack, unpack

GOOD = {"job.toml": b"title = 'x'\n", "a/p.png": bytes(range(256))}


def made(*members: tuple[str | zipfile.ZipInfo, bytes], how: int = zipfile.ZIP_STORED) -> bytes:
    stream = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(stream, "w", how) as archive:
        warnings.simplefilter("ignore")  # zipfile warns of duplicate names, which is what is wanted here
        for name, content in members:
            archive.writestr(name, content)
    return stream.getvalue()


def test_what_is_packed_comes_out_the_same():
    assert unpack(pack(GOOD)) == GOOD


def test_the_same_files_are_the_same_bytes():
    assert pack(GOOD) == pack(dict(reversed(GOOD.items())))


def test_another_reader_reads_it():
    with zipfile.ZipFile(io.BytesIO(pack(GOOD))) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == sorted(GOOD)
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_deflated_one_is_read_and_folders_and_packs_within_are_passed_over():
    content = made(("a/", b""), ("inner.zip", pack(GOOD)), *GOOD.items(), how=zipfile.ZIP_DEFLATED)
    assert unpack(content) == GOOD


def link() -> zipfile.ZipInfo:
    member = zipfile.ZipInfo("p.png")
    member.create_system, member.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    return member


def encrypted() -> bytes:
    """Set bit 0 of the general purpose flag, as an encrypted member has it (APPNOTE 4.4.4)."""
    content = bytearray(made(("p.png", b"x")))
    for head, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(head) + at] |= 1
    return bytes(content)


def lying() -> bytes:
    """Say in the list of members that ten times less is in one than there is (APPNOTE 4.3.12)."""
    content = bytearray(made(("p.png", bytes(100_000)), how=zipfile.ZIP_DEFLATED))
    at = content.index(b"PK\x01\x02") + 24
    content[at : at + 4] = struct.pack("<I", 10_000)
    return bytes(content)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        *(
            (made((name, b"x")), "lead out of the folder")
            for name in ("../p.png", "a/../../p", "/etc/p", "C:/p", "c:p")
        ),
        *((made((name, b"x")), "lead out of the folder") for name in ("a\\..\\p", "\\\\host\\p", "a//p", "./p")),
        *((made((name, b"x")), "not every machine can hold") for name in ("a\tb", "a?b", "p.png ", "a./b", "xy:z.png")),
        (made((link(), b"/etc/passwd")), "is a link"),
        (made(("p.bmp", bytes(2_000_000)), how=zipfile.ZIP_DEFLATED), "grow over 250 times"),
        (made(*((f"{n}", b"") for n in range(MOST_MEMBERS + 1))), "too many files"),
        (made(*((f"{n}", b"") for n in range(10 * MOST_MEMBERS + 10))), "too many files"),
        (made(("p.png", b"x"), ("p.png", b"y")), "is there twice"),
        (made(("p.png", b"x"), ("P.png", b"y")), "by its case only"),
        (made(("caf\u00e9", b"x"), ("cafe\u0301", b"y")), "by its case only"),
        (made(("a", b"x"), ("a/b", b"y")), "at once"),
        (made(("n" * (LONGEST_NAME + 1), b"x")), "a name of 201 letters"),
        (made(("p.png", b"x" * 99), how=zipfile.ZIP_LZMA), "stored or deflated"),
        (encrypted(), "without a password"),
        (lying(), "broken or cut short"),
        (pack(GOOD)[:-30], "broken or cut short"),
        (pack(GOOD)[:60] + pack(GOOD)[61:], "broken or cut short"),
        (pack(GOOD).replace(bytes(range(256)), bytes(256)), "broken or cut short"),
        (b"", r"not a packed file \(ZIP\)"),
        (b"title = 'x'", r"not a packed file \(ZIP\)"),
    ],
)
def test_what_is_refused_in_one_line(content, words):
    with pytest.raises(FileError, match=words) as caught:
        unpack(content)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize("name", ["../p.png", "a\\p.png", "a?.png", "n" * 201])
def test_nothing_is_packed_that_would_not_be_unpacked(name):
    with pytest.raises(FileError, match=r"rename|letters"):
        pack({name: b""})


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (made(("p.bmp", bytes(3_000_001)), how=zipfile.ZIP_DEFLATED), "'p.bmp' has over 3 MB"),
        (made(("a", bytes(2_500_000)), ("b", bytes(2_500_000)), how=zipfile.ZIP_DEFLATED), "together have over 4 MB"),
        (bytes(4_000_001), "the packed file is over 4 MB"),
    ],
)
def test_limits_of_size(content, words, monkeypatch):
    monkeypatch.setattr("preview.base.packed.LARGEST_MEMBER", 3_000_000)
    monkeypatch.setattr("preview.base.packed.LARGEST_PACK", 4_000_000)
    with pytest.raises(FileError, match=words):
        unpack(content)
