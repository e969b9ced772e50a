"""What is not held exactly: each thing with its error, and the job with it moved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from preview.blade.grind import SIDES, Side
from preview.blade.grinds import Bevel
from preview.job.calibration import SETTLING, Calibration, Settling
from preview.job.job import Job
from preview.job.seen import FORGED

PLACES = ("heel", "edge")
"""The two things that move the blade along and across the bar."""

SMALL_STEP = 0.25
"""Step, in standard deviations, by which each uncertain thing is moved to see what it does."""


@dataclass(frozen=True)
class Uncertain:
    """One thing that is not held exactly.

    Parameters
    ----------
    name
        What it is called.
    moved
        Gives the job with the thing moved by an amount, in its own unit.
    error
        Its standard deviation, in the same unit.
    at
        At how many of them it is looked what it does: downwards, where it may stand at its upper limit already.
    """

    name: str
    moved: Callable[[float], Job]
    error: float
    at: float = SMALL_STEP

    @property
    def step(self) -> float:
        """By how much it is moved to see what it does: what the blade's place does, the hammer's wander needs too."""
        return self.at * (1.0 if self.name in PLACES else self.error)


def uncertain_things(job: Job) -> tuple[Uncertain, ...]:
    """Return what is not held exactly in a job, but for the hammer's wander."""
    unsure, forge = job.unsure, job.forge or Calibration()
    placement, corner = job.blade.placement, job.blade.corner(job.history.bar)
    bar = job.history.bar

    settling = job.settling

    def forged(**change: float | Settling) -> Job:
        return job.model_copy(update={"forge": forge.model_copy(update=change)})

    def settled(name: str, by: float) -> Job:
        return forged(settling=settling.model_copy(update={name: getattr(settling, name) + by}))

    def filled(by: float) -> Job:
        can = job.can.model_copy(update={"fill_density": job.can.fill_density + by})
        return job.model_copy(update={"can": can})

    def rougher(by: float) -> Job:
        own = tuple(step.rougher(by) for step in job.forging)
        return forged(friction=forge.friction + by).model_copy(update={"forging": own})

    def placed(**change: float) -> Job:
        moved = placement.model_copy(update=change)
        return job.model_copy(update={"blade": job.blade.model_copy(update={"placement": moved})})

    def ground(by: float) -> Job:
        bevels: dict[str, Bevel | None] = {side: _moved_bevel(job, side, by) for side in SIDES}
        return job.model_copy(update={"grind": job.grind.model_copy(update=bevels)})

    def off_centre(by: float) -> Job:
        return job.model_copy(
            update={"grind": job.grind.model_copy(update={"edge_offset": job.grind.edge_offset + by})}
        )

    def thicker(by: float) -> Job:
        thickness = (job.blade.thickness or bar.thickness) - abs(by)  # a bar gives no more than it has
        return job.model_copy(update={"blade": job.blade.model_copy(update={"thickness": thickness})})

    things = (
        Uncertain("heel", lambda by: placed(heel=corner[0] + bar.length / 2 + by), unsure.heel),
        Uncertain("edge", lambda by: placed(edge=corner[1] + bar.width / 2 + by), unsure.edge),
        Uncertain("mid_plane", lambda by: placed(mid_plane=placement.mid_plane + by), unsure.mid_plane),
        Uncertain("spread", lambda by: forged(spread_factor=forge.spread_factor + by), forge.spread_factor_error),
        Uncertain("friction", rougher, forge.friction_error, at=-SMALL_STEP),
        *(
            Uncertain(
                name,
                filled if name == "fill_density" else partial(settled, name),
                getattr(settling, f"{name}_error"),
                at=-SMALL_STEP,
            )
            for name in SETTLING
        ),
        Uncertain("bevel", ground, 1.0),
        Uncertain("edge_offset", off_centre, unsure.edge_offset),
        Uncertain("thickness", thicker, unsure.thickness),
    )
    if job.found is None:
        return things
    settled_by = FORGED if job.found.of == "bar" else tuple(thing.name for thing in things)
    return tuple(replace(thing, error=0.0) if thing.name in settled_by else thing for thing in things)


def _moved_bevel(job: Job, side: Side, by: float) -> Bevel:
    """Return a face's bevel with its grind line lower: by ``by`` standard deviations of its height, or of its angle."""
    unsure = job.unsure
    return job.grind.bevel(side).missed(by * unsure.bevel, by * unsure.angle, job.blade.outline.height)
