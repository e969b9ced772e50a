"""The blade in the hand as a file: a page, alone or with versions to choose from, a picture, or a solid."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import FileError, RequestError
from preview.base.files import check_writable, write_whole
from preview.base.pictures import png_bytes
from preview.base.progress import counted
from preview.base.units import METRIC, Units
from preview.in_hand.glb import blade_glb
from preview.in_hand.page import Version, turning_choice, turning_page
from preview.in_hand.views import views
from preview.job.checks import check_job
from preview.job.job import Job
from preview.sheets.choices import check_count, names, whole_words

PRINTED = 10.0
"""Pixels in a millimetre at which views print: they have no true size."""


def versions_page(jobs: tuple[Job, ...], units: Units = METRIC) -> str:
    """Return the page that turns each of up to four versions, HTML, and says of each how far it may lie off.

    Raises
    ------
    JobError, FileError
        As `turning_page`.
    RequestError
        If there are more.
    """
    check_count(jobs)
    for each in jobs:
        check_job(each)
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    versions = enumerate(counted("versions", jobs))
    said = [whole_words(job, jobs[0] if number else None, units) for number, job in versions]
    return turning_choice(tuple(map(Version, jobs, names(jobs), said)))


def save_view(
    job: Job, path: str | Path, *, beside: tuple[Job, ...] = (), units: Units = METRIC, force: bool = False
) -> None:
    """Write a job's blade as a page that turns it (HTML), as `views` of it (PNG) or as a solid (GLB), by the ending.

    A page may have up to three other versions ``beside`` it, to choose from.

    Raises
    ------
    RequestError
        If versions are asked for of anything but a page, or too many.
    FileError
        If the path ends otherwise, or the file exists and ``force`` is not given, or cannot be written.
    """
    path = Path(path)
    ending = path.suffix.lower()
    if beside and ending != ".html":
        raise RequestError.at("beside", f"versions to choose from go on a page, .html; given {path.name}")
    check_writable([path], force=force)
    match ending:
        case ".html":
            content = (versions_page((job, *beside), units) if beside else turning_page(job)).encode()
        case ".png":
            content = png_bytes(views(job), PRINTED)
        case ".glb":
            content = blade_glb(job)
        case other:
            msg = f"{path}: a blade in the hand is .html, .png or .glb; given {other or 'a name without ending'}"
            raise FileError(msg)
    write_whole(path, content, force=force)
