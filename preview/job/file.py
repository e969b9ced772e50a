"""The one reader and the one writer of job files (TOML)."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from preview.base.errors import FileError, JobError
from preview.base.files import read_text, write_whole
from preview.job.calibration import dump_calibration, load_calibration
from preview.job.faults import faults_of
from preview.job.job import Job, check_job

LARGEST_FILE = 1_000_000


def load_job(path: str | Path) -> Job:
    """Read a job file, and check the whole of it.

    Raises
    ------
    FileError
        If the file cannot be read or is no TOML.
    JobError
        With every fault found in the job.
    """
    path = Path(path)
    text = read_text(path, LARGEST_FILE, "a job file")
    try:
        return parse_job(text, path.parent)
    except FileError as error:
        msg = f"{path}: {error}"
        raise FileError(msg) from None


def parse_job(text: str, folder: Path) -> Job:
    """Read a job from TOML text; its picture is looked for in ``folder``. Errors as for `load_job`."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        msg = f"not valid TOML: {error}"
        raise FileError(msg) from None
    for key, meant in (("folder", "where its file lies"), ("forge", "what its calibration file says")):
        if key in table:
            raise JobError.at(key, f"unknown key; the job's {key} is {meant}")
    return make_job({**table, "folder": folder})


def make_job(values: dict[str, Any]) -> Job:
    """Make a job from plain values (as a TOML file gives them), and check it; raise `JobError` with every fault."""
    try:
        job = Job.model_validate(values)
    except ValidationError as error:
        raise JobError(faults_of(error)) from None
    try:
        outline = job.blade.outline.in_folder(job.folder)
    except FileError as error:
        raise JobError.at("blade.outline.drawing", error.problem) from None
    job = job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})
    check_job(job)
    if job.calibration is None or job.forge is not None:
        return job
    forge = load_calibration(job.folder / job.calibration)
    return check_job(job.model_copy(update={"forge": forge}))


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


def job_files(job: Job) -> dict[str, bytes]:
    """Return the job file, its calibration file where it names one, and the files that its outline is read from."""
    files = {"job.toml": dump_job(job).encode()}
    if job.forge and job.calibration:
        files[job.calibration] = dump_calibration(job.forge).encode()
    return files | job.blade.outline.files
