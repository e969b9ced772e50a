"""Another pattern picture for a job."""

from __future__ import annotations

from pathlib import Path

from preview.base.files import read_bytes
from preview.base.pictures import LARGEST_FILE, read_picture
from preview.job.file import settle
from preview.job.job import Job, check_job
from preview.pattern.pattern import Pattern, fitted_size


def exchange_picture(job: Job, picture: Path, folder: Path) -> Job:
    """Return ``job`` with another pattern picture, as large as the can lets it be in its own proportions.

    Can, forging and blade stay. The first powder lies round it. The picture, and what else the job names, are put
    into ``folder``, one of the program's own.

    Raises
    ------
    FileError
        If the picture, or another of the job's files, cannot be read.
    """
    pixels, _ = read_picture(picture)
    rows, columns = pixels.shape[:2]
    old = job.pattern
    pattern = Pattern(
        picture=picture.name,
        size=fitted_size((columns, rows), job.pattern_area),
        dividers=old.dividers,
        transparent=old.transparent,
    )
    fresh = check_job(job.model_copy(update={"pattern": pattern}))
    return settle(fresh, folder, {picture.name: read_bytes(picture, LARGEST_FILE, "a picture")})
