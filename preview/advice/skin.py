"""Ground faces whose steel is short of carbon: the can drank it, or the fire took it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil

import numpy as np

from preview.advice.advice import Advice, changed
from preview.base.cache import kept
from preview.base.errors import JobError
from preview.base.units import mm, say
from preview.filling.budget import blade_volumes
from preview.filling.poor_faces import poor_faces
from preview.forging.carbon import SOUND
from preview.job.checks import check_job
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY

WORTH_IT = 0.05
"""Depth (mm) short of carbon that is spoken of: less goes when the blade is polished."""

FINE = 0.1
"""How finely (mm) it is told what to mill."""

MOST_TRIES = 8


def short_of_carbon(job: Job) -> Iterator[Advice]:
    """Yield how much more to mill off the faces, where the steel under the ground ones is short of carbon."""
    if poor_faces(job) > WORTH_IT:
        yield _found(job)


@kept
def _found(job: Job) -> Advice:
    poor, thickness = poor_faces(job), job.blade.thickness or job.history.bar.thickness
    cost = 2 * poor * blade_volumes(job)[0] / thickness / 1000 * STEEL_DENSITY
    fault = say(
        "The blade's faces are short of carbon, down to {}, and harden less there: under {} of the powder's is left, "
        "the can drank it or the fire took it",
        mm(poor, form=".2f"), f"{SOUND:.0%}",
    )  # fmt: skip
    off, mended = _least(_thicker, job, poor)
    if mended is not None:
        by = mm(off, form=".1f"), mm(2 * off, form=".1f")
        words = say(
            "{}. With {} more milled off each face of a bar pressed {} thicker, the blade is sound.", fault, *by
        )
        return Advice(words, cost, say("Mill {} more off each face, press {} thicker", *by), mended)
    off, mended = _least(_thinner, job, poor)
    if mended is not None:
        by = mm(off, form=".1f"), mm(mended.blade.thickness or 0.0, form=".2f")
        words = say("{}. With {} more milled off each face it is sound, and {} thick.", fault, *by)
        return Advice(words, cost, say("Mill {} more off each face", by[0]), mended)
    return Advice(say("{}: less time at heat, or steel kept from scale, leaves more of it.", fault), cost)


def _least(way: Callable[[Job, float], Job | None], job: Job, poor: float) -> tuple[float, Job | None]:
    """Return how much more (mm) has to go off each face, and the job mended that way; None where it cannot be."""
    off = 0.0
    for _ in range(MOST_TRIES):  # a bar that is pressed less has a deeper skin
        off = round(ceil((off + poor) / FINE - 1e-6) * FINE, 6)
        mended = way(job, off)
        if mended is None:
            break
        poor = poor_faces(mended)
        if poor <= WORTH_IT:
            return off, mended
    return off, None


def _thicker(job: Job, off: float) -> Job | None:
    """Return ``job`` with more milled off each face of a bar pressed thicker for it; None if that cannot be."""
    steps = list(job.forging)
    mills = [n for n, step in enumerate(steps) if step.milling_more(off) != step]
    presses = [n for n, step in enumerate(steps[: mills[-1]]) if step.leaving_more(2 * off) != step] if mills else []
    if not presses:
        return None
    steps[presses[-1]] = steps[presses[-1]].leaving_more(2 * off)
    steps[mills[-1]] = steps[mills[-1]].milling_more(off)
    try:
        return check_job(job.model_copy(update={"forging": tuple(steps)}))
    except JobError:
        return None


def _thinner(job: Job, off: float) -> Job | None:
    """Return ``job`` with its blade milled thinner; along a bar that was forged to a taper, the tip too."""
    bar, blade = job.history.bar, job.blade
    left, tip = (blade.thickness or bar.thickness) - 2 * off, blade.tip_thickness
    if bar.tip_thickness is not None:
        at_tip = blade.in_plan(np.array(blade.outline.length), np.array(blade.outline.height), bar)
        forged = float(bar.thickness_at(*at_tip))
        tip = min(tip or forged, forged - 2 * off)
    if min(left, tip or left) <= 0:
        return None
    return changed(job, "blade", thickness=round(left, 3), tip_thickness=tip and round(min(tip, left), 3))
