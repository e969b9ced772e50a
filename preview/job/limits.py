"""What the numbers of a job may be, and the nearest job that is possible where a choice has made some impossible.

It goes the way of the work: the can bounds the pattern, forging gives the bar, the bar bounds the blade, and the blade
the grind. So what comes first in the work stays as it was chosen, and what comes after it moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from preview.base.errors import JobError
from preview.base.limits import Limit
from preview.base.settings import Settings
from preview.base.units import Sentence, mm, say
from preview.blade.grind import Side
from preview.blade.ground import Ground
from preview.job.checks import stations
from preview.job.file import unchecked_job
from preview.job.job import Job

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
            changed = _written(changed, self.job, where.split("."))
        return changed

    def told(self, where: str, label: str) -> Sentence:
        """Return in words what moved at a key path, called ``label``: of a held angle, how high the grind line comes.

        A smith sees the line move, and its height is what he most often sets.
        """
        limit, (part, *path) = self.moved[where], where.split(".")
        if part != "grind" or path[-1] != "angle":
            return limit.moved(label)
        side: Side = "left" if path[0] == "left" else "right"
        ground, bevel = self.job.ground, self.job.grind.bevel(side)
        asked, now = (ground.other_way(side, bevel, "angle", angle) for angle in (limit.given, limit.nearest))
        least, way = ("least", "raised") if limit.most else ("most", "lowered")
        words = say(
            "Grind height {} from {} to {}, at {}: the {} that {} allows.", way, mm(round(asked, 2), form="g"),
            mm(round(now, 1), form="g"), limit.told, least, limit.cause,
        )  # fmt: skip
        return words if limit.instead is None else say("{} {}.", words, limit.instead)


def _written(values: Mapping[str, Any], settings: Settings, path: list[str]) -> dict[str, Any]:
    """Return plain values with what ``settings`` have at a key path."""
    (name, _, place), below = path[0].partition("["), path[1:]
    now = getattr(settings, name)
    if not below:
        return {**values, name: now}
    if not place:
        return {**values, name: _written(values.get(name, {}), now, below)}
    several = values.get(name) or [each.model_dump(mode="json", exclude_none=True) for each in now]
    told = [
        _written(each, of, below) if f"{at}]" == place else each
        for at, (each, of) in enumerate(zip(several, now, strict=True))
    ]
    return {**values, name: told}


def limits_of(job: Job) -> list[Limit]:
    """Return what the numbers of ``job`` may be, in the order of the work.

    Ends with the first that does not hold: those after it count from a number that has yet to move.
    """
    found = []
    for limit in _limits(job):
        found.append(limit)
        if not limit.holds:
            break
    return found


def _limits(job: Job) -> Iterator[Limit]:
    yield from (limit.under("pattern") for limit in job.pattern.limits(job.pattern_area))
    try:
        history = job.history
        bars = history.walk()
        bar = next(bars)
        for number, step in enumerate(history.steps):
            bar = step.out_of_fire(bar)
            step.refuse(bar)
            yield from (limit.under(f"forging[{number}]") for limit in step.limits(bar))
            bar = next(bars)
    except JobError:
        return  # of a forging that is impossible, no bar is known
    if bar.density < 1:
        return
    yield from (limit.under("blade") for limit in job.blade.limits(bar))
    ground, along, outline = Ground(job.blade, job.grind, bar), stations(job), job.blade.outline
    thickness = ground.unground(along)
    grind = ground.grind.limits(along, thickness, outline.length, outline.height, ground.heel_flat)
    yield from (limit.under("grind") for limit in grind)


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
            job, moved[broken.where] = _with(job, broken.where.split("."), broken), broken
            found = limits_of(job)
    if found and not found[-1].holds:  # no number helps: it is said what is wrong with what was asked for
        job, moved, found = asked, {}, limits_of(asked)
    limits: dict[str, tuple[Limit, ...]] = {}
    for limit in found:
        limits[limit.where] = (*limits.get(limit.where, ()), limit)
    return Nearest(job, moved, limits)


def _with(settings: Settings, path: list[str], limit: Limit) -> Any:
    """Return ``settings`` with the number at a key path at its limit; a pair that has one keeps its proportions."""
    (name, _, place), below = path[0].partition("["), path[1:]
    now = getattr(settings, name)
    changed: Any
    if below and place:
        changed = tuple(_with(each, below, limit) if f"{at}]" == place else each for at, each in enumerate(now))
    elif below:
        changed = _with(now, below, limit)
    elif not isinstance(now, tuple):
        changed = limit.nearest
    elif place:
        changed = tuple(limit.nearest if f"{at}]" == place else each for at, each in enumerate(now))
    else:
        changed = tuple(each * limit.nearest / limit.given for each in now)
    return type(settings).model_validate({**dict(settings), name: changed})
