"""The one reader and the one writer of jobs: a job file (TOML), or all of a job's files packed into one (ZIP).

A packed job holds ``job.toml``, the files that it names by their paths from there, and ``about.toml`` with the number
of this layout. One that somebody packed by hand, without the latter or with all of it in a folder, is read as well.
"""

from __future__ import annotations

import hashlib
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import Any

from pydantic import ValidationError

from preview.base.errors import FileError, JobError, PreviewError
from preview.base.files import OWNER_ONLY, cache_home, leaves_folder, put_into, read_bytes, read_text, write_whole
from preview.base.packed import LARGEST_MEMBER, LARGEST_PACK, pack, unpack
from preview.base.toml import parse_toml
from preview.job.calibration import dump_calibration, load_calibration
from preview.job.checks import check_job
from preview.job.faults import faults_of
from preview.job.job import Job
from preview.job.seen import dump_seen, load_seen

LARGEST_FILE = 1_000_000

LAYOUT = 1
"""Number of the packed job's layout that is written, and the highest that is read."""

JOB, ABOUT = "job.toml", "about.toml"

MOST_OPENED = 20
"""Packed jobs that stay unpacked; the ones opened longest ago go first."""


def load_job(path: str | Path) -> Job:
    """Read a job file or a packed job (``.zip``), and check the whole of it.

    Raises
    ------
    FileError
        If the file cannot be read, or is neither TOML nor a packed job.
    JobError
        With every fault found in the job.
    """
    path = Path(path)
    if path.suffix.lower() == ".zip":
        content = read_bytes(path, LARGEST_PACK, "a packed file")
        with _told_of(path):
            return open_packed(content)
    text = read_text(path, LARGEST_FILE, "a job file")
    with _told_of(path):
        return parse_job(text, path.parent)


@contextmanager
def _told_of(path: Path) -> Iterator[None]:
    """Put the file's path before what is wrong in it."""
    try:
        yield
    except FileError as error:
        msg = f"{path}: {error}"
        raise FileError(msg) from None


def parse_job(text: str, folder: Path) -> Job:
    """Read a job from TOML text; its picture is looked for in ``folder``. Errors as for `load_job`."""
    try:
        table = parse_toml(text)
    except ValueError as error:
        raise FileError(_comma(text) or f"the text cannot be understood: {error}") from None
    for key, meant in (
        ("folder", "where its file lies"),
        ("forge", "what its calibration file says"),
        ("found", "what `seen` says"),
    ):
        if key in table:
            raise JobError.at(key, f"unknown key; the job's {key} is {meant}")
    return make_job({**table, "folder": folder})


def _comma(text: str) -> str:
    """Return where a decimal comma stands for a point in TOML text, which then is none; empty where none does."""
    for number, line in enumerate(text.splitlines(), start=1):
        found = re.search(r"=\s*([-+]?\d+,\d+)\s*(?:[,}#]|$)", line)
        if found:
            return f"line {number}: {found[1]}: write {found[1].replace(',', '.')}"
    return ""


def make_job(values: dict[str, Any]) -> Job:
    """Make a job from plain values (as a TOML file gives them), and check it; raise `JobError` with every fault."""
    job = unchecked_job(values)
    known: dict[str, Any] = {}
    if job.calibration is not None and job.forge is None and not leaves_folder(job.calibration):
        known["forge"] = load_calibration(job.folder / job.calibration)
    if job.seen is not None and job.found is None and not leaves_folder(job.seen):
        known["found"] = load_seen(job.folder / job.seen)
    return check_job(job.model_copy(update=known) if known else job)


def unchecked_job(values: dict[str, Any]) -> Job:
    """Make a job from plain values, each checked by itself only; raise `JobError` with every fault."""
    try:
        job = Job.model_validate(values)
    except ValidationError as error:
        raise JobError(faults_of(error)) from None
    try:
        outline = job.blade.outline.in_folder(job.folder)
    except FileError as error:
        raise JobError.at("blade.outline.drawing", error.problem) from None
    return job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})


def dump_job(job: Job) -> str:
    """Return ``job`` as TOML text that `parse_job` reads back to an equal job."""
    import tomli_w

    return tomli_w.dumps(job.model_dump(exclude_none=True))


def save_job(job: Job, path: str | Path, *, force: bool = False) -> None:
    """Write ``job`` as a TOML file; an existing file is kept unless ``force`` is given.

    Raises
    ------
    FileError
        If the file exists or cannot be written.
    """
    write_whole(Path(path), dump_job(job).encode(), force=force)


def files_of(job: Job, made: Mapping[str, bytes] | None = None) -> dict[str, bytes]:
    """Return the files that ``job`` names, by their paths in its folder.

    ``made`` are contents of such files that do not lie in the folder, or not so.

    Raises
    ------
    FileError
        If one of them cannot be read.
    """
    known = {**job.blade.outline.files, **(made or {})}
    if job.forge and job.calibration:
        known.setdefault(job.calibration, dump_calibration(job.forge).encode())
    if job.found and job.seen:
        known.setdefault(job.seen, dump_seen(job.found).encode())
    return {
        str(PurePosixPath(name)): known[name]
        if name in known
        else read_bytes(job.folder / name, LARGEST_MEMBER, "the " + key.replace(".", "'s "))
        for key, name in job.named_files.items()
    }


def job_files(job: Job, made: Mapping[str, bytes] | None = None) -> dict[str, bytes]:
    """Return the job file and the files that it names; see `files_of`."""
    return {JOB: dump_job(job).encode(), **files_of(job, made)}


def settle(job: Job, folder: Path, made: Mapping[str, bytes] | None = None) -> Job:
    """Write the files that ``job`` names into ``folder``, one of the program's own, and return the job that is there.

    ``made`` as for `files_of`; a file that is there already, and the same, is left alone.
    """
    put_into(folder, files_of(job, made))
    return job.model_copy(update={"folder": folder})


def pack_job(job: Job) -> bytes:
    """Return ``job`` with all its files as one packed file, the same bytes for the same job.

    Raises
    ------
    FileError
        If one of its files cannot be read, is too large, or has a name that not every machine can hold.
    """
    about = f"# A blade's job with all its files: it opens in place of a job file.\nversion = {LAYOUT}\n"
    return pack({ABOUT: about.encode(), **job_files(job)})


def save_packed(job: Job, path: str | Path, *, force: bool = False) -> None:
    """Write ``job`` with all its files as one packed file; an existing file is kept unless ``force`` is given."""
    write_whole(Path(path), pack_job(job), force=force)


def open_packed(content: bytes, home: Path | None = None) -> Job:
    """Return the job of a packed file, unpacked into a folder named by its bytes in ``home``, by default in the cache.

    Raises
    ------
    FileError
        If it is no packed file, holds what none may hold, not one job, or one of a newer layout; nothing is written.
    JobError
        With every fault found in the job; nothing stays written.
    """
    files = unpack(content)
    jobs = [name for name in files if PurePosixPath(name).name.casefold() == JOB]
    if len(jobs) != 1:
        msg = f"a packed file holds one {JOB}; " + (f"in this one are {len(jobs)}" if jobs else "in this one is none")
        raise FileError(msg)
    _check_layout(files.get(ABOUT, b""))
    home = home or cache_home() / "opened"
    folder = home / hashlib.sha256(content).hexdigest()[:24]
    fresh = not folder.exists()
    try:
        home.mkdir(parents=True, exist_ok=True)
        home.chmod(OWNER_ONLY)
        put_into(folder, files)
        job = load_job(folder / jobs[0])
        files_of(job)
    except OSError as error:
        msg = f"{home}: cannot be made ({error.strerror or error})"
        raise FileError(msg) from None
    except PreviewError:
        if fresh:
            shutil.rmtree(folder, ignore_errors=True)
        raise
    folder.touch()
    _forget_oldest(home)
    return job


def _check_layout(about: bytes) -> None:
    try:
        version = parse_toml(about.decode()).get("version", LAYOUT)
    except ValueError:
        version = None
    if not isinstance(version, int):
        msg = f"{ABOUT} does not tell the packed file's version; a whole number is needed"
        raise FileError(msg)
    if version > LAYOUT:
        msg = (
            f"the packed file is of version {version}, from a newer program; this one reads up to {LAYOUT}: "
            "bring the program up to date"
        )
        raise FileError(msg)


def _forget_oldest(home: Path) -> None:
    for path in sorted(home.iterdir(), key=lambda path: path.stat().st_mtime)[:-MOST_OPENED]:
        shutil.rmtree(path, ignore_errors=True)
