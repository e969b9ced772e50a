"""How far a change of the forging moves the pattern on the blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.results import Mm
from preview.face.origins import blade_to_can, can_to_blade
from preview.job.job import Job

PLACES = (("heel", 0.12), ("middle", 0.5), ("tip", 0.88))
"""Where it is asked, on the right face, as a share of the blade's length from the heel; a quarter of the way up from
the edge."""


@dataclass(frozen=True)
class Moved:
    """How far a piece of the pattern moves, mm, towards the tip and towards the spine; NaN where it is lost."""

    place: str
    along: Mm
    across: Mm

    @property
    def far(self) -> float:
        """How far in all, mm."""
        return float(np.hypot(self.along, self.across))


def moved_by_quarter_turns(job: Job) -> tuple[Moved, ...]:
    """Return how far the pattern moves if the can is set with a quarter turn between bites; empty where it is.

    Raises
    ------
    JobError
        If the bar is no longer one that the steps after it can be done to.
    """
    steps = tuple(step.turned_often() for step in job.forging)
    return () if steps == job.forging else pattern_moved(job, job.model_copy(update={"forging": steps}))


def pattern_moved(job: Job, changed: Job) -> tuple[Moved, ...]:
    """Return how far the pattern of ``job`` lies elsewhere on the same blade out of the bar of ``changed``.

    What shows at each place on the right face is followed back to the can, and out again by the changed forging.
    """
    outline = job.blade.outline
    along = np.array([share * outline.length for _, share in PLACES])
    edge, spine = (np.asarray(line(along)) for line in (outline.edge, outline.spine))
    across = edge + (spine - edge) / 4
    through = job.ground.stand("right", along, across)
    points = np.stack([along, across, through], axis=-1).astype(float)
    there = can_to_blade(changed.ground, changed.history, blade_to_can(job.ground, job.history, points))
    off = there - points
    return tuple(Moved(place, *map(float, each[:2])) for (place, _), each in zip(PLACES, off, strict=True))
