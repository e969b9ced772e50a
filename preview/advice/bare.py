"""Faces that show what is no pattern: the can's wall, or no metal at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from preview.advice.advice import Advice, changed, weight
from preview.advice.mesh import can_points
from preview.base.arrays import Mask
from preview.base.cache import kept
from preview.base.units import Sentence, mm, say
from preview.blade.grind import SIDES
from preview.job.job import Job

SPOTS = (121, 25)
"""Spots of a face, along and edge to spine, that are asked; its rim is among them, where such faults begin."""

SHIFT = 0.5
THINNER = 0.1
"""By how much (mm) the blade is moved in the bar, or milled thinner on each face, from one try to the next."""

MOST_SHIFTS, MOST_THINNER = 32, 16
"""Steps each way, at most."""

SEEN = 0.0005
"""Share of a face that has to be bare for it to be spoken of; as the preview's own notes have it."""


@dataclass(frozen=True)
class _Bare:
    """Which of both faces' spots (``(2, spots edge to spine, spots along)``) show the can's wall, and no metal."""

    shell: Mask
    lost: Mask

    @property
    def any(self) -> bool:
        return bool(self.shell.any() or self.lost.any())

    @property
    def where(self) -> str:
        """Where on the blade, in words."""
        spots = np.argwhere(self.shell | self.lost)[:, 1:] / (np.array(self.shell.shape[1:]) - 1)
        across, along = spots.T
        if along.max() < 1 / 3:
            return "at the heel"
        if along.min() > 2 / 3:
            return "at the tip"
        if across.max() < 1 / 2:
            return "along the edge"
        return "along the spine" if across.min() > 1 / 2 else "on the faces"


def _bare(job: Job) -> _Bare:
    found = []
    for side in SIDES:
        x, y, z, metal = can_points(job, side, SPOTS)
        beyond = [np.abs(position) > size / 2 for position, size in zip((x, y, z), job.can.inside, strict=True)]
        found.append((np.logical_or.reduce(beyond) & metal, ~metal))
    shell, lost = (np.stack(each) for each in zip(*found, strict=True))
    return _Bare(shell, lost)


def is_bare(job: Job) -> bool:
    """Return whether a face shows the can's wall anywhere, or no metal."""
    return _bare(job).any


def bare_faces(job: Job, share: float) -> Iterator[Advice]:
    """Yield what mends faces of which a ``share`` shows the can's wall or no metal."""
    if share > SEEN and (found := _found(job)) is not None:
        yield found


@kept
def _found(job: Job) -> Advice | None:
    now = _bare(job)
    if not now.any:
        return None
    what = "There is no metal for the blade {}" if now.lost.any() else "The can's shell shows {}"
    moves = [found for way in _ways(job) if (found := _least(way, MOST_SHIFTS)) is not None]
    best = min(moves, key=lambda each: each[0], default=None) or _least(partial(_thinner, job), MOST_THINNER)
    if best is None:
        sentence = say(f"{what}: a larger can, or a smaller blade, is needed.", now.where)
        return Advice(sentence, weight(job.can))
    _, (words, action, mended) = best
    return Advice(say(f"{what}: {{}}", now.where, words), weight(job.can), action, mended)


Way = tuple[Sentence, Sentence, Job | None]


def _least(way: Callable[[int], Way], most: int) -> tuple[int, Way] | None:
    """Return the least of a way, so many times its step, that leaves nothing bare; None where none is found."""
    low, high = 0, 1
    while not _mends(way(high)):
        low, high = high, 2 * high
        if high > most:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _mends(way(middle)) else (middle, high)
    return high, way(high)


def _mends(way: Way) -> bool:
    return way[2] is not None and not is_bare(way[2])


def _ways(job: Job) -> Iterator[Callable[[int], Way]]:
    """Yield the ways to move the blade in the bar."""
    bar, corner = job.history.bar, job.blade.corner(job.history.bar)
    for key, start, back, on in (
        ("heel", corner[0] + bar.length / 2, "heel", "tip"),
        ("edge", corner[1] + bar.width / 2, "edge", "spine"),
    ):
        yield partial(_moved, job, key, start, SHIFT, on)
        yield partial(_moved, job, key, start, -SHIFT, back)


def _moved(job: Job, key: str, start: float, step: float, towards: str, number: int) -> Way:
    by, to = mm(number * abs(step), form="g"), round(start + number * step, 3)
    placement = job.blade.placement.model_copy(update={key: to})
    return (
        say("moved {} towards the {} in the bar, the blade clears it.", by, towards),
        say("Move the blade {} towards the {}", by, towards),
        changed(job, "blade", placement=placement) if to >= 0 else None,
    )


def _thinner(job: Job, number: int) -> Way:
    off = number * THINNER
    left = round((job.blade.thickness or job.history.bar.thickness) - 2 * off, 3)
    tip = job.blade.tip_thickness
    values = {"thickness": left, **({} if tip is None else {"tip_thickness": min(tip, left)})}
    return (
        say("{} more off each face clears it, and leaves the blade {} thick.", mm(off, form=".1f"), mm(left)),
        say("Mill {} more off each face", mm(off, form=".1f")),
        changed(job, "blade", **values) if left > 0 else None,
    )
