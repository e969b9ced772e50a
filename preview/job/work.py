"""Work on the page that outlives a reload: each visitor's jobs and uploads in a folder of their own.

A folder is found by its name alone, which nobody can guess; the page carries it in its link.
"""

from __future__ import annotations

import re
import secrets
import shutil
from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import cache_home

MOST_KEPT = 200
"""Folders kept; the ones left alone longest go first."""

_NAME = re.compile(r"[0-9a-f]{24}")


def work_home() -> Path:
    """Return the folder that holds everybody's work, in the user's cache."""
    return cache_home() / "work"


def new_work(home: Path) -> str:
    """Make a new folder in ``home`` and return its name; the oldest go where there are too many."""
    home.mkdir(parents=True, exist_ok=True)
    old = sorted((path for path in home.iterdir() if _NAME.fullmatch(path.name)), key=lambda path: path.stat().st_mtime)
    for path in old[: max(0, len(old) + 1 - MOST_KEPT)]:
        shutil.rmtree(path, ignore_errors=True)
    name = secrets.token_hex(12)
    (home / name).mkdir()
    return name


def work_folder(home: Path, name: str) -> Path:
    """Return the folder called ``name``; raise `FileError` where there is none."""
    if not _NAME.fullmatch(name) or not (home / name).is_dir():
        msg = "the work that this link names is no longer kept here; a file of it that was saved opens it again"
        raise FileError(msg)
    return home / name
