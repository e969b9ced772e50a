"""Work on the page that outlives a reload: each visitor's jobs and uploads in a folder of their own.

A folder is found by its name alone, which nobody can guess; the page carries it in its link.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import OWNER_ONLY, cache_home, put_into
from preview.job.room import NAME, UPLOADS, forget_old, make_room

SMALL = 1_000_000
"""Bytes of room that there has to be for a draft."""


def work_home() -> Path:
    """Return the folder that holds everybody's work, in the user's cache."""
    return cache_home() / "work"


def new_work(home: Path) -> str:
    """Make a new folder in ``home`` and return its name; those that were left alone too long go."""
    home.mkdir(parents=True, exist_ok=True)
    home.chmod(OWNER_ONLY)
    forget_old(home)
    name = secrets.token_hex(12)
    (home / name).mkdir(mode=OWNER_ONLY)
    return name


def work_folder(home: Path, name: str) -> Path:
    """Return the folder called ``name``; raise `FileError` where there is none."""
    if not NAME.fullmatch(name) or not (home / name).is_dir():
        msg = "the work that this link names is no longer kept here; a file of it that was saved opens it again"
        raise FileError(msg)
    return home / name


def put_upload(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Lay files that were uploaded together into a place of their own in a visitor's ``folder``, and return it.

    The same files have the same place, others never have; what was uploaded long ago goes where there is too much. What
    work names lies on the shelf, where this does not touch it.

    Raises
    ------
    FileError
        If one cannot be written, or there is no room for it.
    """
    key = hashlib.sha256()
    for name in sorted(files):
        key.update(
            hashlib.sha256(name.encode("utf-8", "surrogatepass")).digest() + hashlib.sha256(files[name]).digest()
        )
    place = folder / UPLOADS / key.hexdigest()[:16]
    if not place.is_dir():
        make_room(folder, sum(map(len, files.values())))
    put_into(place, files)
    with suppress(OSError):  # another window's upload needed the room
        os.utime(place)
    return place


def new_draft(folder: Path) -> Path:
    """Return a place in a visitor's ``folder`` for what is being tried, which goes as uploads do; not made yet."""
    make_room(folder, SMALL)
    return folder / UPLOADS / secrets.token_hex(8)
