"""Faces that show what is no pattern: the can's wall, or no metal at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from preview.advice.advice import Advice, changed, weight
from preview.base.arrays import Mask
from preview.base.cache import kept
from preview.base.units import Sentence, mm, say
from preview.blade.grind import SIDES
from preview.filling.mesh import can_points
from preview.job.job import Job

SPOTS = (81, 17)
"""Spots of a face, along and edge to spine, that are asked; its rim is among them, where such faults begin."""

PLACES = {
    "heel": "at the heel", "tip": "at the tip", "edge": "along the edge", "spine": "along the spine",
    "faces": "on the faces",
}  # fmt: skip
AWAY = {
    "heel": ("heel", 1, "tip"), "tip": ("heel", -1, "heel"), "edge": ("edge", 1, "spine"), "spine": ("edge", -1, "edge")
}  # fmt: skip
"""By where the blade is bare: which of its distances in the bar changes, which way, and towards what it moves."""

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
        """The end or side of the blade that they lie at: ``heel``, ``tip``, ``edge``, ``spine``; ``faces`` at none."""
        spots = np.argwhere(self.shell | self.lost)[:, 1:] / (np.array(self.shell.shape[1:]) - 1)
        across, along = spots.T
        if along.max() < 1 / 3:
            return "heel"
        if along.min() > 2 / 3:
            return "tip"
        if across.max() < 1 / 2:
            return "edge"
        return "spine" if across.min() > 1 / 2 else "faces"


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
    where = now.where
    fault = say("There is no metal for the blade {}" if now.lost.any() else "The can's shell shows {}", PLACES[where])
    best = None
    if where in AWAY:
        best = _least(partial(_moved, job, where), MOST_SHIFTS)
    best = best or _least(partial(_thinner, job), MOST_THINNER)
    if best is None:
        return Advice(say("{}: a larger can, or a smaller blade, is needed.", fault), weight(job.can))
    words, action, mended = best
    return Advice(say("{}: {}", fault, words), weight(job.can), action, mended)


Way = tuple[Sentence, Sentence, Job | None]


def _least(way: Callable[[int], Way], most: int) -> Way | None:
    """Return the least of a way, so many times its step, that leaves nothing bare; None where none is found."""
    low, high = 0, 1
    while not _mends(way(high)):
        low, high = high, 2 * high
        if high > most:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _mends(way(middle)) else (middle, high)
    return way(high)


def _mends(way: Way) -> bool:
    return way[2] is not None and not is_bare(way[2])


def _moved(job: Job, where: str, number: int) -> Way:
    """Move the blade in the bar, away from the end or side at which it is bare."""
    bar, corner, placement = job.history.bar, job.blade.corner(job.history.bar), job.blade.placement
    starts = {"heel": corner[0] + bar.length / 2, "edge": corner[1] + bar.width / 2}
    key, sign, towards = AWAY[where]
    by, to = mm(number * SHIFT, form="g"), round(starts[key] + sign * number * SHIFT, 3)
    off = (0.0, placement.off[1]) if key == "heel" else (placement.off[0], 0.0)
    return (
        say("moved {} towards the {} in the bar, the blade clears it.", by, towards),
        say("Move the blade {} towards the {}", by, towards),
        changed(job, "blade", placement=placement.model_copy(update={key: to, "off": off})) if to >= 0 else None,
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
