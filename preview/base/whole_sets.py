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
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

PART, WHOLE = ".etch-preview-part-", ".etch-preview-whole-"
OLD, NEW = "old", "new"


def put_in_place(root: Path, files: Mapping[str, bytes]) -> None:
    """Write files, by their paths from ``root``, whose folders are there already, over those that are there.

    Raises
    ------
    OSError
        If one of them cannot be written; all is as it was before.
    """
    with _alone(root) as alone:
        if alone:
            _sweep(root)
        stage = Path(tempfile.mkdtemp(prefix=PART, dir=root))
        try:
            for name, content in files.items():
                new = stage / NEW / name
                new.parent.mkdir(parents=True, exist_ok=True)
                _write(new, content)
            stage = stage.rename(stage.with_name(stage.name.replace(PART, WHOLE, 1)))
            _move(stage, root, files)
        except BaseException:
            _move_back(stage, root, files)
            raise
        finally:
            shutil.rmtree(stage, ignore_errors=True)


def sweep(root: Path) -> None:
    """Finish what a program that was killed has left in ``root``: whole sets move to their places, parts go."""
    with _alone(root) as alone:
        if alone:
            _sweep(root)


def _sweep(root: Path) -> None:
    for stage in [path for path in root.iterdir() if path.name.startswith((PART, WHOLE))]:
        if stage.name.startswith(WHOLE):
            _move(stage, root, [str(path.relative_to(stage / NEW)) for path in _files(stage / NEW)])
        shutil.rmtree(stage, ignore_errors=True)


def _files(folder: Path) -> Iterator[Path]:
    return (path for path in folder.rglob("*") if path.is_file())


def _write(path: Path, content: bytes) -> None:
    """Write a file through to the disk."""
    try:
        with path.open("wb") as part:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None


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
def _alone(root: Path) -> Iterator[bool]:
    """Wait until nobody else writes into a folder; false where that cannot be known, as on Windows or some networks."""
    if sys.platform == "win32":
        yield False
        return
    import fcntl

    held = os.open(root, os.O_RDONLY)
    try:
        try:
            fcntl.flock(held, fcntl.LOCK_EX)
            alone = True
        except OSError:
            alone = False
        yield alone
    finally:
        os.close(held)
