"""Dividers drawn elsewhere, their regions filled with powders: the job and its files."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from preview.base.errors import RequestError
from preview.base.files import write_into
from preview.base.pictures import png_bytes
from preview.base.words import brief
from preview.filling.layout import PICTURE
from preview.filling.regions import PX_PER_MM, Regions
from preview.job.file import job_files
from preview.job.job import Job
from preview.pattern.pattern import Pattern


def filled_job(job: Job, picture: str = PICTURE) -> Job:
    """Return ``job`` with the whole can filled by the pattern called ``picture``."""
    return job.model_copy(update={"pattern": Pattern(picture=picture, dividers=job.pattern.dividers)})


def save_filled(
    job: Job, regions: Regions, assigned: Mapping[int, str], folder: str | Path, *, force: bool = False
) -> tuple[Path, ...]:
    """Write own dividers, their regions filled with powders, as pattern, job file and numbered picture."""
    filled = filled_job(job)
    contents = {
        **job_files(filled, {PICTURE: png_bytes(regions.filled(job.powders, assigned), PX_PER_MM)}),
        "regions.png": png_bytes(regions.numbered(job.powders, assigned, 16.0), 16.0),
    }
    return write_into(Path(folder), contents, force=force)


def parse_fill(text: str) -> dict[int, str]:
    """Read which powder each region holds from text such as ``1=nickel, 3=nickel``.

    Raises
    ------
    RequestError
        If a part of the text is no number = powder.

    Examples
    --------
    >>> parse_fill("1=nickel, 3 = plain")
    {1: 'nickel', 3: 'plain'}
    """
    assigned = {}
    for part in filter(None, (each.strip() for each in text.split(","))):
        number, equals, name = part.partition("=")
        if not equals or not re.fullmatch(r"\s*\d{1,6}\s*", number) or not name.strip():
            raise RequestError.at("fill", f"region number = powder is needed, such as 1=nickel; given {brief(part)}")
        assigned[int(number)] = name.strip()
    return assigned
