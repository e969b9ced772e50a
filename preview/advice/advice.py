"""One piece of advice, and what a job's steel weighs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from preview.base.errors import JobError
from preview.base.units import Sentence
from preview.forging.bar import Can
from preview.job.checks import check_job
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY


@dataclass(frozen=True)
class Advice:
    """A fault that costs steel, and what mends it.

    Parameters
    ----------
    sentence
        What is wrong, and what would mend it.
    cost
        Steel at stake, grams: what is forged for nothing if it is left as it is.
    action
        What `change` does, in a few words.
    change
        The job with the fault mended; None where it takes more than a number.
    """

    sentence: Sentence
    cost: float
    action: Sentence | None = None
    change: Job | None = None


def weight(can: Can) -> float:
    """Return the weight of the filled can, powder and wall, grams."""
    length, width, height = can.inside
    inside = length * width * height
    return (can.fill_density * inside + can.bar().volume - inside) / 1000 * STEEL_DENSITY


def told(grams: float) -> str:
    """Return a weight in words.

    Examples
    --------
    >>> told(312.4), told(1630)
    ('310 g', '1.6 kg')
    """
    return f"{grams / 1000:.1f} kg" if grams >= 1000 else f"{round(grams, -1):.0f} g"


def changed(job: Job, part: str, **values: Any) -> Job | None:
    """Return ``job`` with ``values`` in one of its parts; None where that does not fit together."""
    fresh = getattr(job, part).model_copy(update=values)
    try:
        return check_job(job.model_copy(update={part: fresh}))
    except JobError:
        return None
