"""The plan as files, and beside it the work fitted to the tools: a new file, never the user's own."""

from __future__ import annotations

import json
from pathlib import Path

from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.units import METRIC, Units
from preview.day.batch import Batch
from preview.day.batch_words import blanks_svg
from preview.day.plan import Plan
from preview.day.plan_numbers import day_numbers
from preview.day.plan_words import day_text
from preview.day.suiting import Suited
from preview.job.file import dump_job, files_of

TEXT, NUMBERS, FITTED, BLANKS = "plan.txt", "plan.json", "fitted.toml", "blanks.svg"


def save_plan(
    plan: Plan,
    folder: Path,
    *,
    suited: Suited | None = None,
    batch: Batch | None = None,
    own: Path | None = None,
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write the plan into ``folder``, made where it is missing, with the fitted work if there is one; return the paths.

    The files that the work names go with it, where they do not lie there already. A fitted work whose blade does not
    fit the bar that it leaves is not written: somebody might forge from it, and the steel would be lost.

    Raises
    ------
    RequestError
        If the fitted work would take the place of the user's ``own`` file.
    FileError
        If a file exists and ``force`` is not given, or one cannot be read or written.
    """
    check_folder(folder, [TEXT], force=force)
    numbers = json.dumps(day_numbers(plan, suited, batch), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    files = {TEXT: day_text(plan, suited, units, batch).encode(), NUMBERS: numbers.encode()}
    if batch is not None:
        files[BLANKS] = blanks_svg(batch, plan.job.blade.outline.profile)
    if suited is not None and not suited.faults:
        if own is not None and (folder / FITTED).resolve() == own.resolve():
            msg = f"the fitted work would be written over {own} itself; another folder is needed"
            raise RequestError.at("out", msg)
        named = {name: each for name, each in files_of(suited.job).items() if not _same(folder / name, each)}
        files |= {FITTED: dump_job(suited.job).encode(), **named}
    return write_into(folder, files, force=force)


def _same(path: Path, content: bytes) -> bool:
    """Say whether a file holds ``content`` already."""
    return path.is_file() and path.read_bytes() == content
