"""Work on the page that outlives a reload: each visitor's job, pictures and calibration in a folder of their own.

A folder is found by its name alone, which nobody can guess; the page carries it in its link.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import write_all
from preview.job.file import job_files, load_job
from preview.job.job import Job

MOST_KEPT = 200
"""Folders kept; the ones left alone longest go first."""

_NAME = re.compile(r"[0-9a-f]{24}")


def work_home() -> Path:
    """Return the folder that holds everybody's work, in the user's cache (XDG Base Directory Specification)."""
    cache = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(cache) / "etch-preview" / "work"


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
        msg = "the work that this link names is no longer kept here; a job file and its picture open it again"
        raise FileError(msg)
    return home / name


def keep_work(folder: Path, job: Job) -> None:
    """Keep ``job`` in a visitor's ``folder``, with the files that it is made from."""
    files = {folder / name: content for name, content in job_files(job).items()}
    picture = folder / job.pattern.picture
    if job.picture_path.resolve() != picture.resolve():
        files[picture] = job.picture_path.read_bytes()
    for path in files:
        path.parent.mkdir(parents=True, exist_ok=True)
    write_all(files, force=True)


def reopen_work(folder: Path) -> Job | None:
    """Return the job kept in a visitor's ``folder``, or None where none was kept yet."""
    return load_job(folder / "job.toml") if (folder / "job.toml").exists() else None
