"""A job's bar before the blade is cut out of it."""

from __future__ import annotations

from preview.base.errors import RequestError
from preview.blade.slab import Milled, Slab, whole_bar
from preview.job.job import Job


def uncut(job: Job, after: int | None = None) -> Job:
    """Return ``job`` with its whole bar in the blade's place, flat, as it is after a step.

    Its heel, edge and mid-plane are those of the bar, so places on it are places of the bar: along from the heel end,
    across from the edge side, mm.

    Parameters
    ----------
    job
        The job.
    after
        How many of the forging steps are done; all of them where it is left out.

    Raises
    ------
    RequestError
        If there are not so many steps, or the powder is still loose after that one.
    """
    count = len(job.forging)
    done = count if after is None else after
    if not 1 <= done <= count:
        raise RequestError.at("after", f"a step from 1 to {count} is needed; given {after}")
    if done < count:  # the bar that was photographed was done
        job = job.unseen.model_copy(update={"forging": job.forging[:done]})
    bar = job.history.bar
    if bar.density < 1:
        raise RequestError.at("after", f"a step by which the powder is solid steel is needed; given {done}")
    return job.model_copy(update={"blade": whole_bar(bar), "grind": Milled()})


def is_uncut(job: Job) -> bool:
    """Say whether a job is one that `uncut` made."""
    return isinstance(job.blade.outline, Slab)
