"""What a client is told of the pattern that the blade's outline cuts off."""

from __future__ import annotations

from math import inf

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Units
from preview.blade.outlines import Outline
from preview.face.lying_off import lying_off
from preview.face.off_blade import off_blade
from preview.face.running_off import RunsOff, running_off
from preview.face.stretch import motif_off
from preview.job.job import Job
from preview.pipeline import face_maps, find_origins
from preview.sheets.report import WORTH_PLACING, lost_words

READ_AT = 4.0
"""Pixels in a millimetre of the faces on which a client's numbers are read."""

MOST = 0.5
"""Share of what is off the blade from which on it is most of it."""

STRETCHES = (
    ("behind the heel", -inf, 0.0),
    ("near the heel", 0.0, 1 / 3),
    ("in the middle", 1 / 3, 2 / 3),
    ("near the tip", 2 / 3, inf),
)
"""What parts of a blade's length are called, and from where to where they are, as shares of it."""


def cut_off_words(job: Job, units: Units) -> str:
    """Return how much of the bright pattern is not on the blade, and where it is cut; nothing where all of it is."""
    origins = find_origins(job)
    off = motif_off(origins, job.bright_powders)
    if off is None or off < WORTH_PLACING:
        return ""
    cuts = running_off(face_maps(job, READ_AT)[0], job.bright_powders)
    where = " and ".join(_cut_by(over, cuts, units) for over in ("edge", "spine", "heel") if _by(over, cuts))
    told = f": figures are cut off by {where}" if where else ""
    most = most_words(off_blade(origins, job.bright_powders), job.blade.outline, units)
    lost = lost_words(lying_off(origins, job.bright_powders), units)
    return (
        f"Some {100 * off:.0f} % of the bright pattern as it was drawn lies off the blade and is not "
        f"seen{most}{told}{lost}."
    )


def most_words(places: Array, outline: Outline, units: Units) -> str:
    """Return where most of it lies, of what is off the blade at ``places`` (n, 2), mm; nothing if it lies all over."""
    share = places[:, 0] / outline.length
    for name, start, end in STRETCHES:
        there = (start <= share) & (share < end)
        if there.sum() > MOST * len(share):
            ends = units.length(*np.percentile(places[there, 0], (2, 98)), form=".0f", between=" to ")
            return f", most of it {name}" + (f", {ends} from the heel" if start >= 0 else "")
    return ""


def _by(over: str, cuts: tuple[RunsOff, ...]) -> list[RunsOff]:
    return sorted((each for each in cuts if each.over == over), key=lambda each: each.start)


def _cut_by(over: str, cuts: tuple[RunsOff, ...], units: Units) -> str:
    """Return one part of the outline with the places at which it cuts figures off, from the heel on."""
    if over == "heel":
        return "the heel"
    places = _by(over, cuts)
    ends = units.length(places[0].start, places[-1].end, form=".0f", between=" to ")
    several = f"in {len(places)} places, from " if len(places) > 1 else ""
    return f"the {over} {several}{ends} from the heel"
