"""Several files packed into one (ZIP, PKWARE's APPNOTE): the same bytes for the same files, and read with limits.

Files are stored as they are, since pictures are compressed already, and so that no library's way to compress shows.
"""

from __future__ import annotations

import io
import re
import stat
import unicodedata
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import PurePosixPath

from preview.base.errors import FileError

LARGEST_PACK = 100_000_000
"""Most bytes of a packed file, and of all that is in it once unpacked."""

LARGEST_MEMBER = 60_000_000
MOST_MEMBERS = 100
LONGEST_NAME = 200

MOST_SHRUNK = 250
"""How many times larger a member over 1 MB may be than what stands packed for it; no pattern's picture comes near."""

_FIRST_TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest that the format can tell: a pack does not say when it was made."""

_UNFIT = re.compile(r'[\x00-\x1f\x7f<>:"|?*]')
"""What cannot stand in a file's name everywhere."""

_METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_HEAD_OF_MEMBER = b"PK\x01\x02"


def pack(files: Mapping[str, bytes]) -> bytes:
    """Return files, by their paths, as one packed file that `unpack` takes.

    Raises
    ------
    FileError
        If a name or a size is one that `unpack` would refuse.
    """
    _refuse(_name_faults(files))
    _refuse(_size_faults((name, len(content)) for name, content in files.items()))
    return zipped(files)


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Return files, by their paths, as one ZIP, whatever their number and size; the same bytes for the same files."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            member = zipfile.ZipInfo(name, _FIRST_TIME)
            member.create_system = 3  # Unix, wherever it is made
            member.external_attr = (stat.S_IFREG | 0o644) << 16
            archive.writestr(member, files[name])
    return stream.getvalue()


def unpack(content: bytes) -> dict[str, bytes]:
    """Return the files of a packed file by their paths, none of which leads out of a folder that they are put into.

    Folders, and packs within the pack, are passed over. Nothing is unpacked before all limits are checked.

    Raises
    ------
    FileError
        If it is none, is broken or encrypted, or holds what no pack may hold; one line.
    """
    # counted before the list of members is read, which could fill the memory by itself
    _refuse(_bulk_faults(len(content), content.count(_HEAD_OF_MEMBER) // 10))
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = [member for member in archive.infolist() if not member.filename.endswith("/")]
            _refuse(_bulk_faults(len(content), len(members)))
            _refuse(_name_faults(member.filename for member in members))
            _refuse(_size_faults((member.filename, member.file_size) for member in members))
            _refuse(_member_faults(members))
            wanted = [member for member in members if not member.filename.casefold().endswith(".zip")]
            return {member.filename: archive.read(member) for member in wanted}
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError) as error:
        told = "broken or cut short" if content.startswith(b"PK") else "not a packed file (ZIP)"
        msg = f"{told} ({error}); take a fresh copy of it"
        raise FileError(msg) from None


def _refuse(faults: Iterator[str]) -> None:
    """Raise `FileError` with the first of ``faults``, if there is one."""
    for fault in faults:
        raise FileError(fault)


def _bulk_faults(size: int, members: int) -> Iterator[str]:
    if size > LARGEST_PACK:
        yield f"the packed file is over {LARGEST_PACK // 1_000_000} MB, too large to be taken"
    if members > MOST_MEMBERS:
        yield f"the packed file holds far too many files; at most {MOST_MEMBERS} are taken"


def _name_faults(names: Iterable[str]) -> Iterator[str]:
    """Yield which names lead out of the folder, cannot stand on every machine, or are there twice."""
    taken: dict[str, str] = {}
    for name in names:
        shown = repr(name if len(name) <= LONGEST_NAME else f"{name[:40]}...")
        parts = name.split("/")
        if len(name) > LONGEST_NAME:
            yield f"{shown}: a name of {len(name)} letters; at most {LONGEST_NAME} are taken"
        if {"", ".", ".."} & set(parts) or "\\" in name or re.match(r"[A-Za-z]:", name):
            yield f"{shown}: a path that may lead out of the folder is not taken; rename the file"
        if _UNFIT.search(name) or any(part != part.rstrip(" .") for part in parts):
            yield f"{shown}: a name that not every machine can hold is not taken; rename the file"
        alike = unicodedata.normalize("NFC", name).casefold()  # one name to some machines
        if alike in taken:
            how = "is there twice" if taken[alike] == name else f"differs from {taken[alike]!r} by its case only"
            yield f"{shown} {how}; rename one of them"
        taken[alike] = name
    for alike, name in taken.items():
        for parent in map(str, PurePosixPath(alike).parents):
            if parent in taken:
                yield f"{taken[parent]!r} is a file and the folder of {name!r} at once; rename one of them"


def _size_faults(sizes: Iterable[tuple[str, int]]) -> Iterator[str]:
    whole = 0
    for name, size in sizes:
        whole += size
        if size > LARGEST_MEMBER:
            yield f"{name!r} has over {LARGEST_MEMBER // 1_000_000} MB, too large for a packed file"
    if whole > LARGEST_PACK:
        yield f"all files together have over {LARGEST_PACK // 1_000_000} MB, too much for a packed file"


def _member_faults(members: Iterable[zipfile.ZipInfo]) -> Iterator[str]:
    for member in members:
        shown = repr(member.filename)
        if member.flag_bits & 0x1:
            yield f"{shown} is encrypted; pack it anew without a password"
        if stat.S_IFMT(member.external_attr >> 16) not in {0, stat.S_IFREG}:
            yield f"{shown} is a link or a device, not a file, and is not taken"
        if member.compress_type not in _METHODS:
            yield f"{shown} is compressed in a way that is not taken; pack it anew as stored or deflated"
        if member.file_size > max(1_000_000, MOST_SHRUNK * member.compress_size):
            yield f"{shown} would grow over {MOST_SHRUNK} times when unpacked, as no picture does, and is not taken"
