"""What a client is told of figures that run out over the blade's outline: often they are meant to."""

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

WAYS = {"edge": "past the edge", "spine": "past the spine", "heel": "past the heel"}
"""How a figure goes on beyond the blade's outline."""


def cut_off_words(job: Job, units: Units) -> str:
    """Return where figures run out over the blade's outline, and which lie off it; nothing where all is on it."""
    origins = find_origins(job)
    off = motif_off(origins, job.bright_powders)
    if off is None or off < WORTH_PLACING:
        return ""
    cuts = running_off(face_maps(job, READ_AT)[0], job.bright_powders)
    where = ", and ".join(_past(over, cuts, units) for over in WAYS if _by(over, cuts))
    lost = lost_words(lying_off(origins, job.bright_powders), units)
    if where:
        back = " Where it passes the spine it shows on that narrow side too." if _by("spine", cuts) else ""
        return f"As drawn, the pattern runs on beyond the blade: {where}{lost}.{back}"
    return f"Not all that was drawn is on the blade{lost}." if lost else ""


def _by(over: str, cuts: tuple[RunsOff, ...]) -> list[RunsOff]:
    return sorted((each for each in cuts if each.over == over), key=lambda each: each.start)


def _past(over: str, cuts: tuple[RunsOff, ...], units: Units) -> str:
    """Return past which part of the outline figures run, with the places at which they do, from the heel on."""
    if over == "heel":
        return WAYS[over]
    places = _by(over, cuts)
    ends = units.length(places[0].start, places[-1].end, form=".0f", between=" to ")
    several = f" in {len(places)} places," if len(places) > 1 else ""
    return f"{WAYS[over]}{several} {ends} from the heel"
