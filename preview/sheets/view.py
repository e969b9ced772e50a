"""The blade in the hand as a file: a page, alone or with versions to choose from, a picture, or a solid."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import FileError, RequestError
from preview.base.files import check_writable, write_whole
from preview.base.pictures import png_bytes
from preview.base.units import METRIC, Units
from preview.in_hand.glb import blade_glb
from preview.in_hand.page import hand_page
from preview.in_hand.page_words import Version
from preview.in_hand.views import views
from preview.job.checks import check_job
from preview.job.job import Job
from preview.sheets.choices import LETTERS, briefly, check_count, made_of, may_come_out, names
from preview.sheets.client import SheetWords
from preview.sheets.in_use_words import in_use_table
from preview.sheets.rings import most_off, rings_beside

PRINTED = 10.0
"""Pixels in a millimetre at which views print: they have no true size."""


def turning_page(job: Job, beside: tuple[Job, ...] = (), words: SheetWords | None = None, units: Units = METRIC) -> str:
    """Return the page that turns a job's blade, HTML: how large it is, how it is made, how far it may lie off.

    Up to three other versions may be ``beside`` it, to choose from; ``words`` say who made it, and for whom.

    Raises
    ------
    JobError
        If a job's parts do not fit together.
    FileError
        If a pattern picture cannot be read.
    RequestError
        If there are too many versions.
    """
    jobs = (job, *beside)
    check_count(jobs)
    for each in jobs:
        check_job(each)
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    versions = tuple(
        Version(
            each,
            name,
            briefly(each, job, units) if number else "",
            made_of(each, job if number else None, units),
            may_come_out(each, found, units),
        )
        for number, (each, name, found) in enumerate(
            zip(jobs, names(jobs) if beside else ("",), rings_beside(jobs), strict=True)
        )
    )
    table = [("", *LETTERS[: len(jobs)])] if beside else []
    return hand_page(versions, (words or SheetWords()).by, (*table, *in_use_table(jobs, units)))


def save_view(
    job: Job,
    path: str | Path,
    *,
    beside: tuple[Job, ...] = (),
    words: SheetWords | None = None,
    units: Units = METRIC,
    force: bool = False,
) -> None:
    """Write a job's blade as a page that turns it (HTML), as `views` of it (PNG) or as a solid (GLB), by the ending.

    A page may have up to three other versions ``beside`` it, to choose from, and ``words`` of its maker.

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
            content = turning_page(job, beside, words, units).encode()
        case ".png":
            content = png_bytes(views(job, _below(job, units)), PRINTED)
        case ".glb":
            content = blade_glb(job)
        case other:
            msg = f"{path}: a blade in the hand is .html, .png or .glb; given {other or 'a name without ending'}"
            raise FileError(msg)
    write_whole(path, content, force=force)


def _below(job: Job, units: Units) -> str:
    """Return what stands below stills, which go from hand to hand without the page's words."""
    check_job(job)
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    (found,) = rings_beside((job,))
    return (
        f"{job.title or 'A blade'}, {units.length(job.blade.outline.length, form='g')} from heel to tip: a likely "
        f"look, not a photograph; the pattern may lie up to {most_off(found, units)} off"
    )
