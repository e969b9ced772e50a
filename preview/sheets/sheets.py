"""A job's sheets: what goes on them, as a PDF and as files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal

from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.papers import PAPERS, PaperName
from preview.base.progress import counted
from preview.base.units import METRIC, Units
from preview.base.words import brief
from preview.day.batch import Batch
from preview.day.plan import Plan
from preview.face.face_map import FaceMap
from preview.filling.budget import weigh
from preview.filling.can_drawing import draw_can
from preview.filling.can_plan import can_plan
from preview.forge.draws import likely
from preview.job.job import Job
from preview.log.log import Blade
from preview.log.past import past_of
from preview.look.section import cross_section
from preview.pipeline import face_map, face_maps, find_origins, take_picture
from preview.sheets.can_page import plan_scale
from preview.sheets.choices import Version, check_count, choices_sheet
from preview.sheets.client import HELD, SheetWords, client_sheet, handle_room
from preview.sheets.client_words import client_years
from preview.sheets.paper import page_pictures
from preview.sheets.rings import RINGS_WIDTH, rings_beside
from preview.sheets.shop import Shop, shop_sheet
from preview.sheets.template import template
from preview.sheets.uncut_page import uncut_faces

SheetKind = Literal["client", "shop"]

PRINTED_AT = 12.0
"""Pixels in a millimetre of the faces on the client's sheet: some 300 to the inch."""

SECTION_AT = 16.0
"""Pixels in a millimetre of the shop sheet's cross-section."""

TEMPLATE_AT = 6.0
"""Pixels in a millimetre at which the template's curves are traced; they are interpolated between pixels."""


def sheet_pdf(
    job: Job,
    kind: SheetKind,
    words: SheetWords | None = None,
    paper: str = "a4",
    units: Units = METRIC,
    beside: tuple[Job, ...] = (),
    day: Plan | None = None,
    batch: Batch | None = None,
    past: Blade | None = None,
) -> bytes:
    """Return a sheet of ``job`` as a PDF, landscape.

    Parameters
    ----------
    job
        The job, checked.
    kind
        ``client`` or ``shop``.
    words
        What the maker writes on it.
    paper
        ``a4``, ``letter``, ``a3`` or ``tabloid``.
    units
        What its sizes and heats are told in.
    beside
        Up to three other versions for the client to choose from, each a job of its own.
    day
        The plan of the day, for the shop to work down.
    batch
        What several blades of this kind take, likewise.
    past
        A blade of the log, for the client to see beside its own preview.

    Raises
    ------
    RequestError
        If the paper is unknown, versions are asked for on the shop's sheet or are too many, a past blade is asked for
        on another sheet or no face of it was photographed, or the shop's templates do not fit the paper at true size.
    """
    if paper not in PAPERS:
        raise RequestError.at("paper", f"one of {', '.join(PAPERS)} is needed; given {brief(paper)}")
    size = PAPERS[paper]
    words = words or SheetWords()
    if past is not None and (kind != "client" or beside):
        raise RequestError.at("past", "a blade made before goes on the client's sheet of a single blade")
    if beside:
        return _choices(kind, (job, *beside), words, size, units)
    if kind == "client":
        faces, most = counted("faces at true size", face_maps(job, PRINTED_AT)), handle_room(job, size[0])
        pictures = tuple(take_picture(job, _showing(face, most)) for face in faces)
        looks, shown = likely(job, width=RINGS_WIDTH, chances=False), None if past is None else past_of(past)
        return client_sheet(job, pictures, PRINTED_AT, looks, client_years(job), words, size, units, shown)
    faces = counted("templates", face_maps(job, TEMPLATE_AT))
    templates = tuple(template(job, face, units) for face in faces)
    drawn, station = draw_can(job), job.blade.outline.length / 2
    smaller = plan_scale(drawn, size)
    if smaller > 1:  # its numbers stay as large as they are read
        drawn = draw_can(job, larger=smaller)
    plan = can_plan(job, drawn.insert) if drawn.insert else ()
    cut = cross_section(find_origins(job), job.powders, job.etching, station, SECTION_AT)
    return shop_sheet(
        job, Shop(weigh(job), drawn, plan, templates, uncut_faces(job), cut, station, day, batch), words, size, units
    )


def _choices(
    kind: SheetKind, jobs: tuple[Job, ...], words: SheetWords, size: tuple[float, float], units: Units
) -> bytes:
    if kind != "client":
        raise RequestError.at("beside", f"versions to choose from go on the client's sheet; given the {kind}'s")
    check_count(jobs)
    versions = tuple(
        Version(each, take_picture(each, _showing(face_map(each, "right", PRINTED_AT), HELD)), PRINTED_AT, found)
        for each, found in zip(jobs, rings_beside(jobs), strict=True)
    )
    return choices_sheet(versions, words, size, units)


def _showing(face: FaceMap, most_behind: float | None) -> FaceMap:
    """Return a face whose picture shows at most so much (mm) behind the heel."""
    return replace(face, view=replace(face.view, most_behind=most_behind))


def save_sheet(
    job: Job,
    kind: SheetKind,
    folder: str | Path,
    *,
    words: SheetWords | None = None,
    paper: PaperName = "a4",
    units: Units = METRIC,
    beside: tuple[Job, ...] = (),
    day: Plan | None = None,
    batch: Batch | None = None,
    past: Blade | None = None,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write a sheet into ``folder`` as PDF, and each of its pages as PNG; see `sheet_pdf`."""
    folder = Path(folder)
    check_folder(folder, [f"{kind}_sheet.pdf"], force=force)
    pdf = sheet_pdf(job, kind, words, paper, units, beside, day, batch, past)
    files = {f"{kind}_sheet.pdf": pdf}
    for number, page in enumerate(page_pictures(pdf), start=1):
        files[f"{kind}_sheet_{number}.png"] = page
    return write_into(folder, files, force=force)
