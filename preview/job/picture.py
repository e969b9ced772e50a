"""The pattern picture of a job: another one, and one in its own proportions."""

from __future__ import annotations

from pathlib import Path

from preview.base.files import read_bytes
from preview.base.pictures import LARGEST_FILE, read_picture
from preview.base.shapes import FLAT
from preview.job.file import settle
from preview.job.job import Job, check_job
from preview.pattern.pattern import Pattern, fitted_size


def exchange_picture(job: Job, picture: Path, folder: Path) -> Job:
    """Return ``job`` with another pattern picture, as large as the can lets it be in its own proportions.

    A drawing of shapes (SVG, DXF) keeps its own size. Can, forging and blade stay. The first powder lies round it.
    The picture, and what else the job names, are put into ``folder``, one of the program's own.

    Raises
    ------
    FileError
        If the picture, or another of the job's files, cannot be read.
    """
    old = job.pattern
    pattern = Pattern(
        picture=picture.name,
        size=_fitted(picture, job),
        dividers=old.dividers,
        transparent=old.transparent,
    )
    fresh = check_job(job.model_copy(update={"pattern": pattern}))
    return settle(fresh, folder, {picture.name: read_bytes(picture, LARGEST_FILE, "a picture")})


def fit_picture(job: Job) -> Job:
    """Return ``job`` with its picture as large as the can lets it be in its own proportions, unturned in the middle.

    Raises
    ------
    FileError
        If the picture cannot be read.
    """
    placed = {"size": _fitted(job.picture_path, job), "at": (0.0, 0.0), "turn": 0.0}
    return check_job(job.model_copy(update={"pattern": job.pattern.model_copy(update=placed)}))


def _fitted(picture: Path, job: Job) -> tuple[float, float] | None:
    """Return the size of a picture in the can; a drawing of shapes has its own."""
    if picture.suffix.lower() in FLAT:
        return None
    pixels, _ = read_picture(picture)
    rows, columns = pixels.shape[:2]
    return fitted_size((columns, rows), job.pattern_area)
