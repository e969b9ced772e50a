"""A drawing of an outline: on its own before a job names it, and taken into a job."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from preview.blade.outlines import DrawnOutline
from preview.job.checks import check_job
from preview.job.faults import make_settings
from preview.job.file import settle
from preview.job.job import Job


def read_outline(path: str | Path, stated: Mapping[str, Any] | None = None) -> DrawnOutline:
    """Read the outline that a drawing (SVG or DXF) shows.

    Parameters
    ----------
    path
        The drawing.
    stated
        What it may not tell, as in a job's ``[blade.outline]``: ``length``, ``turn``, ``tip_at`` and so on.

    Raises
    ------
    FileError
        If the drawing cannot be read or is no outline.
    RequestError
        If what is stated cannot be.
    """
    path = Path(path)
    return make_settings(DrawnOutline, {**(stated or {}), "drawing": path.name}, "outline").in_folder(path.parent)


def exchange_outline(job: Job, outline: DrawnOutline, folder: Path) -> Job:
    """Return ``job`` with a drawn blade in place of its own; all else stays.

    The drawing, and what else the job names, are put into ``folder``, one of the program's own.

    Raises
    ------
    JobError
        If the job has no such blade in it.
    """
    blade = job.blade.model_copy(update={"outline": outline})
    return settle(check_job(job.model_copy(update={"blade": blade})), folder)
