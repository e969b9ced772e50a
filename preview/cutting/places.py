"""The best places in the bar to cut a blade at, and what the one that it lies at is worth beside them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from preview.base.errors import RequestError
from preview.base.progress import counted
from preview.blade.grind import SIDES
from preview.cutting.chances import Draws
from preview.cutting.cut import Cut
from preview.cutting.drawing import Drawing, better_drawing
from preview.cutting.parts import Parts, find_parts
from preview.cutting.room import Room
from preview.cutting.search import APART, Place, Search, at_middle, off_middle
from preview.job.checks import check_job
from preview.job.job import Job

DRAWS = 2000
"""Draws that chances are told by, to 1 point or so."""
BEST, FINALISTS, CLOSELY = 3, 8, 4
"""Places that are told, those of all whose chances are worked out, and those that are bettered."""
LEAST = 0.1
"""Chance that the whole blade lies in the steel under which a place is not put forward beside another."""


@dataclass(frozen=True, eq=False)
class Places:
    """What the search found.

    Parameters
    ----------
    cut
        What was wanted.
    parts
        The motif's parts.
    now
        The blade where it lies in the job.
    best
        The places that are better than that, the best first, at most `BEST`; if none is, where it lies now, or the
        best that the wishes allow where they do not allow that.
    other_face
        The best place with the motif on the other face, where it comes out whole there more often; else None.
    drawing
        How the drawing is better laid in the can as long as nothing is forged, if it is; a photographed bar is.
    """

    cut: Cut
    parts: Parts
    now: Place
    best: tuple[Place, ...]
    other_face: Place | None
    drawing: Drawing | None

    @property
    def stays(self) -> bool:
        """Whether the blade is best left where it lies now."""
        return self.best[0] is self.now

    def laid_so(self, job: Job, place: Place) -> Job:
        """Return ``job`` with blade, grind and drawing as at ``place``, and the bar as it was measured, if it was."""
        blade = job.blade.model_copy(update={"placement": place.job.blade.placement})
        placed = {"blade": blade, "grind": place.job.grind, "pattern": place.job.pattern}
        return job.model_copy(update={**placed, "measured_bar": self.cut.bar or job.measured_bar})


def find_places(job: Job, cut: Cut) -> Places:
    """Return the places in the bar at which the parts that ``cut`` asks for most likely come out whole.

    The same job and wishes give the same places.

    Raises
    ------
    JobError, FileError
        As for `preview.pipeline.preview`.
    RequestError
        If a part is not there, a margin leaves no room, the face is not ground whose grind is to change, or nothing
        lies within the limits.
    """
    check_job(job)
    parts = find_parts(job, cut)
    room = Room.of(job.blade.outline, cut.margin)
    search = Search(job, cut, parts.wanted, room, Draws.of(job, DRAWS, cut.bar))
    seeds = [
        seed for variant in counted("places in the bar", list(search.variants())) for seed in search.seeds(variant)
    ]
    finalists: list[Job] = []
    for _, each in sorted(seeds, key=lambda seed: -seed[0]):
        if len(finalists) < FINALISTS and not any(_alike(each, other) for other in finalists):
            finalists.append(each)
    found = [search.place(search.bettered(each)) for each in counted("the best places, closely", finalists[:CLOSELY])]
    found += [search.place(each) for each in finalists]
    now, middle = search.place(job), search.place(at_middle(job))
    found += [middle] if search.allows(middle) else []
    better = _apart(each for each in found if each.beats(now))
    best = better or ((now,) if search.allows(now) else _apart(found))
    drawing = None if job.found else better_drawing(search, best[0])
    return Places(cut, parts, now, best, _on_other_face(search, best[0]), drawing)


def _on_other_face(search: Search, best: Place) -> Place | None:
    """Return the best place with the whole motif on the other face, where more of it comes out whole there."""
    if search.cut.keep:  # the other face numbers its parts otherwise
        return None
    cut = search.cut.model_copy(update={"face": SIDES[1 - SIDES.index(search.cut.face)]})
    try:
        parts = find_parts(search.job, cut).wanted
    except RequestError:
        return None
    other = replace(search, cut=cut, parts=parts).place(best.job)
    return other if len(parts) >= len(search.parts) and other.beats(best) else None


def _apart(found: Iterable[Place]) -> tuple[Place, ...]:
    """Return the best of the places that differ from each other, those after the first likely to hold the blade."""
    told: list[Place] = []
    for each in sorted(found, key=lambda each: -each.score):
        if told and each.in_steel < LEAST:
            continue
        if len(told) < BEST and not any(_alike(each.job, other.job) for other in told):
            told.append(each)
    return tuple(told)


def _alike(one: Job, other: Job) -> bool:
    """Say whether two jobs have the blade at one place, however it is ground."""
    first, second = one.blade.placement, other.blade.placement
    places = ((*off_middle(each), each.blade.placement.mid_plane) for each in (one, other))
    near = [abs(a - b) < far for a, b, far in zip(*places, APART, strict=True)]
    return all(near) and first.signs == second.signs
