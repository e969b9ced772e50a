"""Sets of files that take their places whole, or not at all, whatever happens while they are written.

A set is written into a folder of its own within the one where it belongs. Once all of it is there the folder is
renamed, which says that the set is whole; only then each file moves to its place. Where the program is killed before,
nothing has changed; where it is killed after, what has not moved yet is moved the next time something is written there.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

PART, WHOLE = ".etch-preview-part-", ".etch-preview-whole-"
OLD, NEW = "old", "new"

FRESH, LONG = 60.0, 3600.0
"""Seconds in which a part may have been begun and not be held yet, and over which nobody writes any more."""


def put_in_place(root: Path, files: Mapping[str, bytes]) -> None:
    """Write files, by their paths from ``root``, whose folders are there already, over those that are there.

    Raises
    ------
    OSError
        If one of them cannot be written; all is as it was before.
    """
    sweep(root)
    stage = Path(tempfile.mkdtemp(prefix=PART, dir=root))
    with _held(stage):
        try:
            for name, content in files.items():
                new = stage / NEW / name
                new.parent.mkdir(parents=True, exist_ok=True)
                with new.open("wb") as part:
                    part.write(content)
                    part.flush()
                    os.fsync(part.fileno())
            whole = stage.with_name(stage.name.replace(PART, WHOLE, 1))
            stage = stage.rename(whole)
            _move(stage, root, files)
        except BaseException:
            _move_back(stage, root, files)
            shutil.rmtree(stage, ignore_errors=True)
            raise
    shutil.rmtree(stage, ignore_errors=True)


def sweep(root: Path) -> None:
    """Finish what a program that was killed has left in ``root``: whole sets move to their places, parts go."""
    for stage in [path for path in root.iterdir() if path.name.startswith((PART, WHOLE))]:
        with _held(stage) as ours:
            if not ours or (stage.name.startswith(PART) and _age(stage) < FRESH):
                continue
            if stage.name.startswith(WHOLE):
                _move(stage, root, [str(path.relative_to(stage / NEW)) for path in _files(stage / NEW)])
            shutil.rmtree(stage, ignore_errors=True)


def _age(stage: Path) -> float:
    return time.time() - stage.stat().st_mtime


def _files(folder: Path) -> Iterator[Path]:
    return (path for path in folder.rglob("*") if path.is_file())


def _move(stage: Path, root: Path, names: Iterable[str]) -> None:
    """Move a set to its place, and what lies there aside."""
    for name in names:
        place, aside = root / name, stage / OLD / name
        if place.exists():
            aside.parent.mkdir(parents=True, exist_ok=True)
            place.replace(aside)
        (stage / NEW / name).replace(place)


def _move_back(stage: Path, root: Path, names: Iterable[str]) -> None:
    """Take away what has been moved to its place, and put back what lay there."""
    for name in names:
        place, aside = root / name, stage / OLD / name
        if stage.name.startswith(WHOLE) and not (stage / NEW / name).exists():
            place.unlink(missing_ok=True)
        if aside.exists():
            aside.replace(place)


@contextmanager
def _held(stage: Path) -> Iterator[bool]:
    """Hold a set's folder as long as it is being written, and say whether nobody else does."""
    if sys.platform == "win32":  # where no folder can be held: what is older than an hour is left behind
        yield _age(stage) > LONG
        return
    import fcntl

    try:
        held = os.open(stage, os.O_RDONLY)
    except FileNotFoundError:  # finished meanwhile
        yield False
        return
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield True
    except BlockingIOError:
        yield False
    finally:
        os.close(held)
