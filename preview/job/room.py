"""How much room the page's visitors may take on the disk, each and all together, how long, and what goes first.

What a page has open never goes, nor what was touched within the last hour: another server's page may have it open.
"""

from __future__ import annotations

import os
import re
import shutil
import time
from contextlib import suppress
from pathlib import Path
from threading import RLock
from weakref import WeakSet

from preview.base.errors import FileError

MOST_OF_ONE = 500_000_000
"""Bytes of a visitor's work and uploads, the bin's too."""

MOST_OF_ALL = 10_000_000_000
"""Bytes of all visitors' work and uploads together."""

DAYS_KEPT = 180
"""Days for which work is kept after it was last opened."""

DAYS_LOOKED = 1
"""Days for which the folder of a visitor is kept who has only looked."""

MOST_KEPT = 200
"""Folders kept; the ones left alone longest go first, those without work before the others."""

LEFT_ALONE = 3600.0
"""Seconds for which a folder has to be left alone before it may go."""

UPLOADS = "uploads"
"""Where in a visitor's folder lies what is on its way to his work; it may go sooner."""

NAME = re.compile(r"[0-9a-f]{24}")
"""The name of a visitor's folder, which nobody can guess."""

_OPEN: WeakSet[Visit] = WeakSet()
_LOCK = RLock()


class Visit:
    """Somebody's page, which has the work in ``folder`` open for as long as this lives."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.touch()
        with _LOCK:
            _OPEN.add(self)


def taken(folder: Path) -> int:
    """Return how many bytes the files in ``folder`` take."""
    whole = 0
    for place, _, names in os.walk(folder):
        for name in names:
            with suppress(OSError):  # gone meanwhile
                whole += Path(place, name).stat().st_size
    return whole


def make_room(folder: Path, more: int) -> None:
    """Let there be room for ``more`` bytes in a visitor's ``folder``.

    Where he would have too much, his oldest uploads go, then what he deleted first. Where all visitors together would,
    the folders left alone longest go.

    Raises
    ------
    FileError
        If there is no room without taking what is to stay.
    """
    with _LOCK:
        own = taken(folder)
        for place in _passing(folder):
            if own + more <= MOST_OF_ONE:
                break
            own -= taken(place)
            shutil.rmtree(place, ignore_errors=True)
        if own + more > MOST_OF_ONE:
            msg = (
                f"there is no room for another {_mega(more)} MB: your work here takes {_mega(own)} MB, and may take "
                f"{_mega(MOST_OF_ONE)}; save what is to stay, and delete what you need no longer"
            )
            raise FileError(msg)
        whole = own + sum(taken(each) for each in _folders(folder.parent) if each != folder)
        for place in _forgettable(folder.parent):
            if whole + more <= MOST_OF_ALL:
                break
            if place != folder:
                whole -= taken(place)
                shutil.rmtree(place, ignore_errors=True)
        if whole + more > MOST_OF_ALL:
            msg = (
                f"there is no room for another {_mega(more)} MB: all visitors together take what is set aside for "
                "them; save your work, and come back when others have left"
            )
            raise FileError(msg)


def forget_old(home: Path) -> None:
    """Remove from ``home`` the folders that were left alone too long, and the oldest where there are too many."""
    with _LOCK:
        now, many = time.time(), len(_folders(home))
        for place in _forgettable(home):
            days = DAYS_KEPT if _has_work(place) else DAYS_LOOKED
            if many > MOST_KEPT - 1 or now - _touched(place) > 24 * 3600 * days:
                shutil.rmtree(place, ignore_errors=True)
                many -= 1


def _folders(home: Path) -> list[Path]:
    return [path for path in home.glob("*") if NAME.fullmatch(path.name)]


def _forgettable(home: Path) -> list[Path]:
    """Return the folders that may go, those first that are missed least."""
    held = {visit.folder for visit in _OPEN}
    latest = time.time() - LEFT_ALONE
    free = [path for path in _folders(home) if path not in held and _touched(path) < latest]
    return sorted(free, key=lambda path: (_has_work(path), _touched(path)))


def _passing(folder: Path) -> list[Path]:
    """Return what of a visitor's folder may go, in order: his uploads, then what lies in the bin."""
    return [place for where in (UPLOADS, "bin") for place in sorted((folder / where).glob("*"), key=_touched)]


def _has_work(folder: Path) -> bool:
    return any((folder / name).exists() for name in ("jobs", "job.toml", "log"))


def _touched(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0  # gone meanwhile


def _mega(size: int) -> str:
    return str(max(1, round(size / 1e6)))
