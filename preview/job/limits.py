"""What the numbers of a job may be, and the nearest job that is possible where a choice has made some impossible.

It goes the way of the work: forging gives the bar, the bar bounds the blade, the blade bounds the grind. So what comes
first in the work stays as it was chosen, and what comes after it moves.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from preview.base.errors import JobError
from preview.base.limits import Limit
from preview.base.settings import Settings
from preview.job.file import unchecked_job
from preview.job.job import Job, ground_of, stations

MOST_MOVES = 40


@dataclass(frozen=True)
class Nearest:
    """The nearest possible job.

    Parameters
    ----------
    job
        It, or the job that was given where moving numbers does not make it possible.
    moved
        The limits that made numbers move, by the key paths of these.
    limits
        All limits of the job, by key paths; several for one number where it has several.
    """

    job: Job
    moved: dict[str, Limit]
    limits: dict[str, tuple[Limit, ...]]

    def written(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """Return the plain values that it was made from, with the numbers in them that had to move."""
        changed = dict(values)
        for where in self.moved:
            *path, name = where.split(".")
            table, settings = changed, self.job
            for part in path:
                table[part] = dict(table.get(part, {}))
                table, settings = table[part], getattr(settings, part)
            table[name] = getattr(settings, name)
        return changed


def limits_of(job: Job) -> list[Limit]:
    """Return what the numbers of ``job`` may be, in the order of the work; none where its forging is impossible.

    Ends with the first that does not hold: those after it count from a number that has yet to move.
    """
    try:
        bar = job.history.bar
    except JobError:
        return []
    found = []
    for limit in job.blade.limits(bar):
        found.append(limit.under("blade"))
        if not limit.holds:
            return found
    ground, along = ground_of(job, bar), stations(job)
    outline = job.blade.outline
    for limit in ground.grind.limits(along, ground.unground(along), outline.length, outline.height):
        found.append(limit.under("grind"))
        if not limit.holds:
            return found
    return found


def nearest_job(values: dict[str, Any]) -> Nearest:
    """Return the job nearest to that of plain values (as `make_job` takes them) whose blade and grind are possible.

    Raises
    ------
    JobError
        Where a single value is impossible whatever the others are.
    """
    asked = job = unchecked_job(values)
    moved: dict[str, Limit] = {}
    found = limits_of(job)
    with suppress(ValidationError):  # a number that would have to be one that it may never be
        while found and not found[-1].holds and len(moved) < MOST_MOVES:
            broken = found[-1]
            job, moved[broken.where] = _with(job, broken.where.split("."), broken.nearest), broken
            found = limits_of(job)
    if found and not found[-1].holds:  # no number helps: it is said what is wrong with what was asked for
        job, moved, found = asked, {}, limits_of(asked)
    limits: dict[str, tuple[Limit, ...]] = {}
    for limit in found:
        limits[limit.where] = (*limits.get(limit.where, ()), limit)
    return Nearest(job, moved, limits)


def _with(settings: Settings, path: list[str], number: float) -> Any:
    """Return ``settings`` with the number at a key path changed."""
    name, *below = path
    changed = _with(getattr(settings, name), below, number) if below else number
    return type(settings).model_validate({**dict(settings), name: changed})
