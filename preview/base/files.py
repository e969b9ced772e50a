"""Files are read with a limit, written whole or not at all, and never over a user's file unasked."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath
from stat import S_ISDIR
from typing import Literal

from preview.base.errors import FileError
from preview.base.whole_sets import put_in_place

OWNER_ONLY = 0o700
"""Who may look into a folder of somebody's work: its owner."""


def cache_home() -> Path:
    """Return the program's own folder in the user's cache (XDG Base Directory Specification)."""
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "etch-preview"


def leaves_folder(name: str) -> bool:
    """Say whether ``name``, as a job file has it, is no path to a file inside the job file's folder."""
    path = PurePosixPath(name.replace("\\", "/"))
    return not path.parts or not name.strip() or path.is_absolute() or ".." in path.parts or ":" in path.parts[0]


def stamp_of(path: Path) -> tuple[int, int]:
    """Return what tells a file that was written anew from what it was; of one that is missing too."""
    try:
        stamp = path.stat()
    except (OSError, ValueError):  # what there cannot be is missing as well
        return (0, 0)
    return stamp.st_mtime_ns, stamp.st_size


def read_bytes(path: Path, largest: int, what: str) -> bytes:
    """Return what stands in a file.

    Parameters
    ----------
    path
        The file.
    largest
        Most bytes that are taken.
    what
        What it should be, for the message: ``a job file``.

    Raises
    ------
    FileError
        If it is missing, cannot be read, or is too large.
    """
    try:
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except FileNotFoundError:
        msg = f"{path}: there is no such file; {what} is needed"
        raise FileError(msg) from None
    except (OSError, ValueError) as error:
        msg = f"{path}: cannot be read ({getattr(error, 'strerror', None) or error}); {what} is needed"
        raise FileError(msg) from None
    if len(content) > largest:
        msg = f"{path}: the file is over {largest // 1_000_000} MB, too large for {what}"
        raise FileError(msg)
    return content


def read_text(path: Path, largest: int, what: str) -> str:
    """Return the text of a UTF-8 file, without its byte order mark; see `read_bytes`."""
    try:
        return read_bytes(path, largest, what).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        msg = f"{path}: cannot be read: {what} has to be UTF-8 text; byte {error.start} is not"
        raise FileError(msg) from None


def write_whole(path: Path, content: bytes, *, force: bool = False) -> None:
    """Write ``content`` to ``path`` through a file beside it that then takes its place.

    Raises
    ------
    FileError
        If ``path`` exists and ``force`` is not given, or it cannot be written.
    """
    write_all({path: content}, force=force)


def check_writable(paths: Iterable[Path], *, force: bool = False) -> None:
    """Raise `FileError` where a path cannot be written: no folder, a folder itself, or there and not ``force``."""
    paths = tuple(paths)
    for folder in {path.parent for path in paths}:
        if kind_of(folder) != "folder":
            msg = f"{folder}: there is no such folder; make it first"
            raise FileError(msg)
    there = {path: kind for path in paths if (kind := kind_of(path))}
    for path, kind in there.items():
        if kind == "folder":
            msg = f"{path}: is a folder, and the name of a file is needed; move it away, or write elsewhere"
            raise FileError(msg)
    if there and not force:
        names = ", ".join(str(path) for path in there)
        msg = f"{names}: exists already and is kept; use --force (in Python, force=True) to replace it"
        raise FileError(msg)


def kind_of(path: Path) -> Literal["", "file", "folder"]:
    """Return what lies at a path.

    Raises
    ------
    FileError
        If it is no path that there can be.
    """
    try:
        os.fsencode(path).decode()
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return ""
    except UnicodeDecodeError:
        msg = f"{path}: a name in UTF-8 is needed"
    except (OSError, ValueError) as error:
        msg = f"{path}: cannot be used ({getattr(error, 'strerror', None) or error}); another name is needed"
    else:
        return "folder" if S_ISDIR(mode) else "file"
    raise FileError(msg)


def check_folder(folder: Path, names: Iterable[str], *, force: bool = False) -> None:
    """Raise `FileError` where `write_into` could not write these names: sooner than after long work."""
    kind = kind_of(folder)
    if kind == "folder":
        check_writable([path for path in (folder / name for name in names) if path.parent.is_dir()], force=force)
    elif kind == "file":
        msg = f"{folder}: is a file; a folder is needed"
        raise FileError(msg)
    elif kind_of(folder.parent) != "folder":
        msg = f"{folder}: cannot be made, there is no such folder as {folder.parent}; make that first"
        raise FileError(msg)


def write_into(folder: Path, contents: Mapping[str, bytes], *, force: bool = False) -> tuple[Path, ...]:
    """Write files into ``folder``, all or none, and return their paths.

    The folder is made where it is missing, though not the one it lies in; it does not stay if nothing is written.
    """
    check_folder(folder, contents, force=force)
    files = {folder / name: content for name, content in contents.items()}
    made: list[Path] = []
    try:
        below = {place for path in files for place in path.parents if folder in place.parents}
        for place in (folder, *sorted(below)):
            if not place.is_dir():
                place.mkdir()
                made.append(place)
        write_all(files, force=force)
    except (OSError, FileError) as error:
        for place in reversed(made):
            place.rmdir()
        if isinstance(error, FileError):
            raise
        msg = f"{folder}: cannot be made ({error.strerror or error})"
        raise FileError(msg) from None
    return tuple(files)


def put_into(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Write files into a folder of the program's own, made with all that it lies in; those that are so are left alone.

    Raises
    ------
    FileError
        If one cannot be written.
    """
    files = {folder / name: content for name, content in contents.items()}
    try:
        for place in {path.parent for path in files}:
            place.mkdir(parents=True, exist_ok=True)
        changed = {path: each for path, each in files.items() if not path.is_file() or path.read_bytes() != each}
    except OSError as error:
        msg = f"{folder}: cannot be written ({error.strerror or error})"
        raise FileError(msg) from None
    write_all(changed, force=True)


def write_all(files: Mapping[Path, bytes], *, force: bool = False) -> None:
    """Write several files: all of them, or none where one exists already or cannot be written."""
    check_writable(files, force=force)
    if not files:
        return
    root = Path(os.path.commonpath([path.parent.absolute() for path in files]))
    try:
        put_in_place(root, {str(path.absolute().relative_to(root)): content for path, content in files.items()})
    except OSError as error:
        msg = f"{_among(files, error)}: cannot be written ({error.strerror or error})"
        raise FileError(msg) from None


def _among(files: Iterable[Path], error: OSError) -> Path:
    """Return which of the files an error is about, or the first."""
    paths = list(files)
    return next((path for path in paths if error.filename and Path(error.filename).name == path.name), paths[0])
