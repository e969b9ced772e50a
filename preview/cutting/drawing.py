"""How to move or scale the drawing in the can, as long as nothing is forged, so that its parts come out whole."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.progress import counted
from preview.base.results import Mm, ShareOf
from preview.cutting.lying import per_place
from preview.cutting.search import Place, Search
from preview.job.checks import check_job
from preview.job.job import Job
from preview.pattern.pattern import box_of

SCALES = (1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.6, 0.5)
GOOD = 0.95
"""Chance that all parts come out whole, of a blade that lies in the steel, at which a drawing need not be smaller."""
WORTH = 0.025
"""By how much the score has to be better for it to be told."""
ROUNDS = 3
REACH = (40.0, 8.0)
"""How far (mm) on the face it is looked at once whether the drawing is better moved, along and across."""


@dataclass(frozen=True, eq=False)
class Drawing:
    """The drawing moved or scaled in the can, with the blade at the best place that there is for it as it is.

    Parameters
    ----------
    scale
        Of its size now.
    moved
        By how much its middle is moved, rightwards and upwards as the pattern's picture stands, mm.
    place
        What comes of it.
    """

    scale: ShareOf
    moved: tuple[Mm, Mm]
    place: Place


def better_drawing(search: Search, best: Place) -> Drawing | None:
    """Return the largest drawing that keeps all parts whole, or else the best; None where the one there is as good."""
    tried = []
    for scale in counted("the drawing, smaller", SCALES):
        drawing = _drawn(search, best.job, scale)
        if drawing is not None:
            tried.append(drawing)
            if drawing.place.all_whole >= GOOD * drawing.place.in_steel:
                break
    top = max(tried, key=lambda each: each.place.score, default=None)
    return top if top is not None and top.place.score > best.score + WORTH else None


def _drawn(search: Search, job: Job, scale: float) -> Drawing | None:
    pattern, area = job.pattern, np.array(job.pattern_area)
    size = scale * np.array(pattern.size or area)
    free = np.maximum(area - box_of((size[0], size[1]), pattern.turn), 0) / 2
    at, was = np.clip(pattern.at, -free, free), np.array(pattern.at)
    for _ in range(ROUNDS if free.max() > 0 else 0):
        laid = _laid(search, scale, at - scale * was)
        there = np.clip(at - _per_mm(laid, job) @ laid.best_slide(job, REACH), -free, free)
        if np.abs(there - at).max() < 0.1:
            break
        at = there
    at = np.trunc(at * 100) / 100
    new = pattern.model_copy(update={"size": tuple((np.floor(size * 100) / 100).tolist()), "at": tuple(at.tolist())})
    try:
        drawn = check_job(job.model_copy(update={"pattern": new}))
    except JobError:
        return None
    place = _laid(search, scale, at - scale * was).place(job)
    moved = at - was
    return Drawing(scale, (float(moved[0]), float(moved[1])), replace(place, job=drawn))


def _laid(search: Search, scale: float, by: Array) -> Search:
    """Return the search with its parts scaled from the can's middle, then moved ``by``, mm."""
    parts = (replace(part, spots=scale * part.spots + by[:, None]) for part in search.parts)
    return replace(search, parts=tuple(parts))


def _per_mm(search: Search, job: Job) -> Array:
    """Return what a millimetre along and across the face is in the can, (2, 2), on the mean of the parts."""
    origins = search.draws.here(job)
    in_bar = np.concatenate([part.in_bar for part in search.parts], axis=1)
    places = np.stack(job.blade.bar_to_blade(in_bar[0], in_bar[1], np.zeros(1), origins.ground.bar)[:2])
    wide, high = origins.sampler.raster.cell
    return np.asarray(per_place(origins, search.cut.face, places).mean(axis=0) * np.array([[wide], [-high]]))
