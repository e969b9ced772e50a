"""What sizes no bar can have that was made by a work, and the blade cut out of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from preview.base.errors import Fault, JobError
from preview.base.units import mm, say
from preview.job.calibration import Calibration
from preview.job.job import Job

LEAST_SPREAD, MOST_SPREAD = 0.05, 3.0
"""Spread over the law's beyond which no forge lies: hardly any of it, and all that a bar can take."""

OVER = 1.1
"""By how much a size may be over the most that the can gives before it is refused: bulges, caliper, a fuller can."""

SLACK = 0.5
"""How much smaller (mm) than its blade a bar may be read."""


def bar_faults(job: Job, bar: tuple[float, float, float] | None) -> Iterator[Fault]:
    """Yield what cannot be of a bar (length, width, thickness, mm; None: not read) of ``job``, by the record's keys."""
    if bar is None:
        return
    outline = job.blade.outline
    for number, (name, size, needed) in enumerate(
        (
            ("long", bar[0], outline.length),
            ("wide", bar[1], outline.height),
            ("thick", bar[2], job.blade.thickness or 0.0),
        )
    ):
        if size < needed - SLACK:
            problem = "the blade cut out of it is {} {}, so the bar cannot be less; given {}"
            yield Fault(f"bar[{number}]", say(problem, mm(needed), name, mm(size)))
    history = job.history
    weld = next((number for number, step in enumerate(job.forging, start=1) if step.welds), 0)
    most = history.bars[weld].volume * float(np.prod(history.bar.size)) / history.bar.volume
    if float(np.prod(bar)) > OVER * most:
        problem = "the can of this work holds {} cm³ of steel, and a bar of {} has {} cm³: is a size misread?"
        told = (f"{most / 1000:.0f}", mm(*bar), f"{float(np.prod(bar)) / 1000:.0f}")
        yield Fault("bar", say(problem, *told))
    for number, spread, name in ((0, LEAST_SPREAD, "longer"), (1, MOST_SPREAD, "wider")):
        size = _with_spread(job, spread)[number]
        if bar[number] > OVER * size:
            problem = "the can of this work gives no bar {} than {}, however it spreads; given {}"
            yield Fault(f"bar[{number}]", say(problem, name, mm(size, form=".0f"), mm(bar[number])))


def _with_spread(job: Job, spread: float) -> tuple[float, ...]:
    """Return the bar's sizes at another spread, mm; no limit where the work cannot be done so."""
    forge = (job.forge or Calibration()).model_copy(update={"spread_factor": spread})
    try:
        return job.model_copy(update={"forge": forge}).history.bar.size
    except JobError:
        return (np.inf,) * 3
