"""What tells a version of a blade from the first one, in plain words and numbers, and what that changes on its face."""

from __future__ import annotations

import numpy as np

from preview.base.units import Units
from preview.face.unlike import unlike
from preview.job.job import Job
from preview.pipeline import face_maps, laid_raster
from preview.sheets.steel_words import grind_words

COMPARED_AT = 4.0
"""Pixels in a millimetre at which faces are laid over each other."""

ALIKE = 0.02
"""Share of the face under which two are said to look alike: what a client would have to search for (our choice)."""

BY_THE_LINE = 0.3
"""How far from the grind's end, as a share of the blade's height, what differs may lie to be told by it."""

LEAST = 0.05
"""Least difference in a size (mm) or an angle (degrees) that is told."""


def unlike_words(job: Job, first: Job, units: Units) -> str:
    """Return how ``job`` differs from the version that stands ``first``, and what that changes for the pattern."""
    differ, finish = differences(job, first, units), finish_unlike(job, first)
    if not differ:
        return "The same blade as A."
    if differ == finish:
        return f"The pattern lies the same as on A; the finish is different: {'; '.join(finish)}."
    told = f"{'; '.join(differ)}."
    there, here = (face_maps(each, COMPARED_AT)[0] for each in (first, job))
    found = unlike((there, here), (first.ground, job.ground), (first.bright_powders, job.bright_powders))
    if found.share < ALIKE:
        return f"The pattern lies nearly the same as on A. What differs: {told}"
    outline = job.blade.outline
    start, end = found.along
    if job.grind != first.grind and found.off_line < BY_THE_LINE * outline.height:
        off = units.length(found.off_line, form=".0f")
        where = f", nearly all of it within {off} of where the grind ends"
    elif end - start < outline.length / 2:
        where = f", nearly all of it {units.length(start, end, form='.0f', between=' to ')} from the heel"
    else:
        where = ", all along the blade"
    return f"Against A: {told} Laid heel on heel, some {100 * found.share:.0f} % of the face looks different{where}."


def differences(job: Job, first: Job, units: Units) -> list[str]:
    """Return in a few words each what is another than with the ``first``; nothing where both are made alike."""
    told = [*_outline(job, first, units), *_thickness(job, first, units), *_grind(job, first, units)]
    told += finish_unlike(job, first)
    if job.blade.placement != first.blade.placement:
        told.append("cut from another place in the bar")
    here, there = (laid_raster(each) for each in (job, first))
    if job.pattern != first.pattern or not np.array_equal(here.cells.shares, there.cells.shares):
        told.append("another pattern, or laid otherwise")
    if job.powders != first.powders:
        told.append("other steels")
    if (job.can, job.forging, job.forge) != (first.can, first.forging, first.forge):
        told.append("forged otherwise")
    return told


def finish_unlike(job: Job, first: Job) -> list[str]:
    """Return in a few words each how a version is finished otherwise than the ``first``."""
    light, before, told = job.light, first.light, []
    if light.finish != before.finish:
        told.append(f"{light.finish}, not {before.finish}")
    elif light.grit != before.grit and light.finish != "polished":
        finer = "finer" if light.grit > before.grit else "coarser"
        told.append(f"brushed {finer}, with {light.grit} grit, not {before.grit}")
    if (job.etch.dark_finish is None) != (first.etch.dark_finish is None):
        told.append("without the dark finish" if job.etch.dark_finish is None else "given a dark finish after the etch")
    elif job.etching != first.etching:
        told.append("etched otherwise")
    return told


def _outline(job: Job, first: Job, units: Units) -> list[str]:
    one, other = job.blade.outline, first.blade.outline
    told = [
        *_size(one.length - other.length, "longer", "shorter", units),
        *_size(one.height - other.height, "higher at the heel", "lower at the heel", units),
    ]
    if one.called != other.called:
        told.append(f"another profile ({one.called}, not {other.called})")
    elif one != other and not told:
        told.append("another profile")
    return told


def _thickness(job: Job, first: Job, units: Units) -> list[str]:
    one, other = (float(each.ground.unground(np.zeros(1))[0]) for each in (job, first))
    return _size(one - other, "thicker", "thinner", units)


def _grind(job: Job, first: Job, units: Units) -> list[str]:
    if job.grind == first.grind:
        return []
    kinds = [each.grind.right.kind for each in (job, first)]
    (line, angle), (line_before, angle_before) = (
        each.ground.mid_grind("right", each.grind.right) for each in (job, first)
    )
    if kinds[0] != kinds[1] or not job.grind.right.is_ground:
        return [f"{grind_words(job, units)}, not {grind_words(first, units)}"]
    told = _size(line - line_before, "higher up", "lower", units)
    if told:
        thin = "is thin further up" if line > line_before else "stays thick further down"
        told = [f"the grind ends {told[0]}, so that the blade {thin}"]
    if abs(angle - angle_before) >= LEAST:
        told.append(f"its faces slope {angle:.1f}° a side, not {angle_before:.1f}°")
    return told or ["ground a little otherwise"]


def _size(more: float, larger: str, smaller: str, units: Units) -> list[str]:
    if abs(more) < LEAST:
        return []
    told = units.length(abs(more), form=".0f" if abs(more) >= 10 else ".1f")
    return [f"{told} {larger if more > 0 else smaller}"]
