"""Trials and sheets as files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Literal

from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.progress import counted
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.filling.budget import weigh
from preview.forge.draws import likely
from preview.job.faults import made
from preview.job.job import Job
from preview.pipeline import face_maps, take_picture
from preview.sheets.client import SheetWords, client_sheet
from preview.sheets.paper import PAPERS, PaperName, page_pictures
from preview.sheets.shop import shop_sheet
from preview.sheets.template import template
from preview.trials.trial_sheet import (
    animation,
    ladder_lines,
    taken_picture,
    taken_words,
    trial_rows,
    trial_sheet_picture,
)
from preview.trials.trials import TrialGrinds, coming_down, ladder, taken, try_grinds

SheetKind = Literal["client", "shop"]

PRINTED_AT = 12.0
"""Pixels in a millimetre of the faces on the client's sheet: some 300 to the inch."""

TEMPLATE_AT = 6.0
"""Pixels in a millimetre at which the template's curves are traced; they are interpolated between pixels."""


def make_trial_grinds(values: dict[str, Any]) -> TrialGrinds:
    """Return grinds to try, from plain values; raise `RequestError` with every fault."""
    return made(TrialGrinds, values, "trials")


def make_sheet_words(values: dict[str, Any]) -> SheetWords:
    """Return what the maker writes on a sheet, from plain values; raise `RequestError` with every fault."""
    return made(SheetWords, values, "sheet")


def sheet_pdf(
    job: Job, kind: SheetKind, words: SheetWords | None = None, paper: str = "a4", units: Units = METRIC
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

    Raises
    ------
    RequestError
        If the paper is unknown, or the shop's templates do not fit it at true size.
    """
    if paper not in PAPERS:
        raise RequestError.at("paper", f"one of {', '.join(PAPERS)} is needed; given {paper!r}")
    size = PAPERS[paper]
    words = words or SheetWords()
    if kind == "client":
        faces = counted("faces at true size", face_maps(job, PRINTED_AT))
        right, left = (take_picture(job, face) for face in faces)
        return client_sheet(job, (right, left), PRINTED_AT, likely(job), words, size, units)
    faces = counted("templates", face_maps(job, TEMPLATE_AT))
    templates = tuple(template(job, face, units) for face in faces)
    return shop_sheet(job, weigh(job), templates, words, size, units)


def save_sheet(
    job: Job,
    kind: SheetKind,
    folder: str | Path,
    *,
    words: SheetWords | None = None,
    paper: PaperName = "a4",
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write a sheet into ``folder`` as PDF, and each of its pages as PNG; see `sheet_pdf`."""
    folder = Path(folder)
    check_folder(folder, [f"{kind}_sheet.pdf"], force=force)
    pdf = sheet_pdf(job, kind, words, paper, units)
    files = {f"{kind}_sheet.pdf": pdf}
    for number, page in enumerate(page_pictures(pdf), start=1):
        files[f"{kind}_sheet_{number}.png"] = page
    return write_into(folder, files, force=force)


TRIAL_FILES = ("trials.png", "taken.png", "coming_down.webp", "trials.json", "trials.txt")
"""What `save_trials` writes: trials side by side, what the last takes of the first, the bevel coming down, numbers."""


def save_trials(job: Job, grinds: TrialGrinds, folder: str | Path, *, force: bool = False) -> tuple[Path, ...]:
    """Try grinds and write what comes of it into ``folder``: the files of `TRIAL_FILES`."""
    folder = Path(folder)
    check_folder(folder, TRIAL_FILES, force=force)
    trials = try_grinds(job, grinds)
    found = ladder(trials)
    first, last = (trials[found.rungs[end]] for end in (0, -1))
    change = taken(first, last)
    scale = first.face.grid.px_per_mm
    numbers = {
        "trials": [
            {
                "name": t.name,
                "finest_mm": plain(t.finest),
                "motif_off_share": t.motif_off,
                "ground_off_g": t.ground_off,
                **plain(t.numbers),
            }
            for t in trials
        ],
        "ladder": plain(found),
        "taken": {"from": first.name, "to": last.name, "lost_mm2": change.lost, "gained_mm2": change.gained},
    }
    told = []
    for number, trial in enumerate(trials, start=1):
        told += [f"{number} · {trial.name}", *(f"    {name}: {value}" for name, value in trial_rows(trial)), ""]
    told += [*ladder_lines(trials, found), "", taken_words(first, last, change)]
    contents = (
        png_bytes(trial_sheet_picture(trials), scale),
        png_bytes(taken_picture(change), scale),
        animation(coming_down(job, grinds.face)),
        (json.dumps(numbers, indent=2) + "\n").encode(),
        ("\n".join(told) + "\n").encode(),
    )
    return write_into(folder, dict(zip(TRIAL_FILES, contents, strict=True)), force=force)
