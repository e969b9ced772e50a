"""The steps of a job in another order: moved, taken out, done once more, or new, with numbers that suit their bar."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from typing import Any

from preview.base.errors import Fault, JobError
from preview.forging.bar import Bar
from preview.forging.steps.base import Step
from preview.job.file import unchecked_job
from preview.job.job import Job
from preview.job.limits import nearest_job


def arranged(values: dict[str, Any], order: Sequence[int | type[Step]]) -> list[dict[str, Any]]:
    """Return the steps, as plain values, of the job of plain ``values`` in another order.

    In ``order``, a number is the step that stands there now, a second time it is that step done once more, and a class
    is a new step.

    Raises
    ------
    JobError
        Where the bar cannot be made that a step which is new, or done once more, would meet.
    """
    job = unchecked_job(values)
    steps: list[Step] = []
    told: list[dict[str, Any]] = []
    for place, each in enumerate(order):
        if isinstance(each, int) and each not in order[:place]:
            steps.append(job.forging[each])
            told.append(deepcopy(values["forging"][each]))
        else:
            bar = _bar_after(job, steps)
            steps.append(_again(job.forging[each], bar) if isinstance(each, int) else each.example(bar))
            told.append(steps[-1].model_dump(mode="json", exclude_none=True))
    return told


def _again(step: Step, bar: Bar) -> Step:
    return step.again(step.out_of_fire(bar))


def _bar_after(job: Job, steps: Sequence[Step]) -> Bar:
    *_, bar = job.model_copy(update={"forging": tuple(steps)}).history.walk()
    return bar


def forging_fault(values: dict[str, Any]) -> Fault | None:
    """Return what makes the forging of the job of plain ``values`` impossible, whatever its numbers are; else None."""
    try:
        _ = nearest_job(values).job.history.bar
    except JobError as error:
        return error.faults[0]
    return None
