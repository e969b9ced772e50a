"""The plan as files, and beside it the work fitted to the tools: a new file, never the user's own."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import RequestError
from preview.base.files import write_into
from preview.base.units import METRIC, Units
from preview.day.plan import Plan
from preview.day.plan_words import day_text
from preview.day.suiting import Suited
from preview.job.file import dump_job, files_of

TEXT, FITTED = "plan.txt", "fitted.toml"


def save_plan(
    plan: Plan,
    folder: Path,
    *,
    suited: Suited | None = None,
    own: Path | None = None,
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write the plan into ``folder``, made where it is missing, with the fitted work if there is one; return the paths.

    The files that the work names go with it, where they do not lie there already.

    Raises
    ------
    RequestError
        If the fitted work would take the place of the user's ``own`` file.
    FileError
        If a file exists and ``force`` is not given, or one cannot be read or written.
    """
    files = {TEXT: day_text(plan, suited, units).encode()}
    if suited is not None:
        if own is not None and (folder / FITTED).resolve() == own.resolve():
            msg = f"the fitted work would be written over {own} itself; another folder is needed"
            raise RequestError.at("out", msg)
        named = {name: each for name, each in files_of(suited.job).items() if not _same(folder / name, each)}
        files |= {FITTED: dump_job(suited.job).encode(), **named}
    return write_into(folder, files, force=force)


def _same(path: Path, content: bytes) -> bool:
    """Say whether a file holds ``content`` already."""
    return path.is_file() and path.read_bytes() == content
