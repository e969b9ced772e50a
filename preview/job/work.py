"""Work on the page that outlives a reload: each visitor's jobs and uploads in a folder of their own.

A folder is found by its name alone, which nobody can guess; the page carries it in its link.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import OWNER_ONLY, cache_home, put_into

MOST_UPLOADED = 500_000_000
"""Bytes of a visitor's uploads that are kept beside his work; the oldest go first, the newest never does."""

UPLOADS = "uploads"

MOST_KEPT = 200
"""Folders kept; the ones left alone longest go first."""

_NAME = re.compile(r"[0-9a-f]{24}")


def work_home() -> Path:
    """Return the folder that holds everybody's work, in the user's cache."""
    return cache_home() / "work"


def new_work(home: Path) -> str:
    """Make a new folder in ``home`` and return its name; the oldest go where there are too many."""
    home.mkdir(parents=True, exist_ok=True)
    home.chmod(OWNER_ONLY)
    old = sorted((path for path in home.iterdir() if _NAME.fullmatch(path.name)), key=lambda path: path.stat().st_mtime)
    for path in old[: max(0, len(old) + 1 - MOST_KEPT)]:
        shutil.rmtree(path, ignore_errors=True)
    name = secrets.token_hex(12)
    (home / name).mkdir(mode=OWNER_ONLY)
    return name


def work_folder(home: Path, name: str) -> Path:
    """Return the folder called ``name``; raise `FileError` where there is none."""
    if not _NAME.fullmatch(name) or not (home / name).is_dir():
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
        If one cannot be written.
    """
    key = hashlib.sha256()
    for name in sorted(files):
        key.update(
            hashlib.sha256(name.encode("utf-8", "surrogatepass")).digest() + hashlib.sha256(files[name]).digest()
        )
    place = folder / UPLOADS / key.hexdigest()[:16]
    put_into(place, files)
    place.touch()
    _forget_uploads(place)
    return place


def _forget_uploads(newest: Path) -> None:
    whole = 0
    for place in sorted(newest.parent.iterdir(), key=lambda path: path.stat().st_mtime, reverse=True):
        whole += sum(path.stat().st_size for path in place.rglob("*") if path.is_file())
        if whole > MOST_UPLOADED and place != newest:
            shutil.rmtree(place, ignore_errors=True)
