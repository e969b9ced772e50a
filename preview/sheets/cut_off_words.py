"""What a client is told of the pattern that the blade's outline cuts off."""

from __future__ import annotations

from preview.base.units import Units
from preview.face.lying_off import lying_off
from preview.face.running_off import RunsOff, running_off
from preview.face.stretch import motif_off
from preview.job.job import Job
from preview.pipeline import face_maps, find_origins
from preview.sheets.report import WORTH_PLACING, lost_words

READ_AT = 4.0
"""Pixels in a millimetre of the faces on which a client's numbers are read."""


MOST_PLACES = 6
"""How many places are told where an edge or a spine cuts figures off."""


def cut_off_words(job: Job, units: Units) -> str:
    """Return how much of the bright pattern is not on the blade, and where it is cut; nothing where all of it is."""
    origins = find_origins(job)
    off = motif_off(origins, job.bright_powders)
    if off is None or off < WORTH_PLACING:
        return ""
    cuts = running_off(face_maps(job, READ_AT)[0], job.bright_powders)
    where = " and ".join(_cut_by(over, cuts, units) for over in ("edge", "spine", "heel") if _by(over, cuts))
    told = f": figures are cut off by {where}" if where else ""
    lost = lost_words(lying_off(origins, job.bright_powders), units)
    return (
        f"Some {100 * off:.0f} % of the bright pattern as it was drawn lies off the blade and is not seen{told}{lost}."
    )


def _by(over: str, cuts: tuple[RunsOff, ...]) -> list[RunsOff]:
    return sorted((each for each in cuts if each.over == over), key=lambda each: each.start)


def _cut_by(over: str, cuts: tuple[RunsOff, ...], units: Units) -> str:
    """Return one part of the outline with the places at which it cuts figures off, from the heel on."""
    if over == "heel":
        return "the heel"
    places = _by(over, cuts)
    told = [" to ".join(units.number(end, ".0f") for end in (each.start, each.end)) for each in places[:MOST_PLACES]]
    more = f" and in {len(places) - MOST_PLACES} places more" if len(places) > MOST_PLACES else ""
    return f"the {over} {', '.join(told)} {units.name('mm')} from the heel{more}"
