"""The pattern picture of a job: another one, and one in its own proportions."""

from __future__ import annotations

from pathlib import Path

from preview.base.files import read_bytes
from preview.base.pictures import LARGEST_FILE, read_picture
from preview.job.checks import check_job, own_size
from preview.job.file import settle
from preview.job.job import Job
from preview.pattern.pattern import Pattern, fitted_size, round_down
from preview.pattern.raster import no_room


def exchange_picture(job: Job, picture: Path, folder: Path) -> Job:
    """Return ``job`` with another pattern picture, as large as the can lets it be in its own proportions.

    A drawing of shapes (SVG, DXF) keeps its own size where the can has room for it. Can, forging and blade stay. The
    first powder lies round it. The picture, and what else the job names, are put into ``folder``, one of the
    program's own.

    Raises
    ------
    FileError
        If the picture, or another of the job's files, cannot be read.
    """
    old = job.pattern
    pattern = Pattern(
        picture=picture.name, size=(1.0, 1.0), dividers=old.dividers, transparent=old.transparent
    )  # fmt: skip
    there = job.model_copy(update={"pattern": pattern, "folder": picture.parent})
    own = own_size(there)
    size = _fitted(there) if own is None or no_room(own, job.pattern_area) else None
    fresh = job.model_copy(update={"pattern": pattern.model_copy(update={"size": size})})
    check_job(fresh.model_copy(update={"folder": picture.parent}))
    return settle(fresh, folder, {picture.name: read_bytes(picture, LARGEST_FILE, "a picture")})


def fit_picture(job: Job) -> Job:
    """Return ``job`` with its picture as large as the can lets it be in its own proportions, unturned in the middle.

    A drawing of shapes takes its own size where the can has room for it.

    Raises
    ------
    FileError
        If the picture cannot be read.
    """
    placed = {"size": _fitted(job), "at": (0.0, 0.0), "turn": 0.0}
    return check_job(job.model_copy(update={"pattern": job.pattern.model_copy(update=placed)}))


def _fitted(job: Job) -> tuple[float, float]:
    """Return the size that the job's picture starts with in the can: its own, or one in tenths of a millimetre."""
    own, room = own_size(job), job.pattern_area
    if own is None:
        pixels, _ = read_picture(job.picture_path)
        return round_down(fitted_size((pixels.shape[1], pixels.shape[0]), room))
    return round_down(fitted_size(own, room)) if no_room(own, room) else (min(own[0], room[0]), min(own[1], room[1]))
