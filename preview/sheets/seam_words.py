"""What a client is told of the walls that part the powders while the can is filled."""

from __future__ import annotations

from preview.base.errors import RequestError
from preview.base.units import Units
from preview.filling.insert import insert_of
from preview.job.job import Job

LEAST_TOLD = 0.5
"""Area (mm2) of streaks on the faces from which it is told."""

SEAMS = "fine dark seams where printed walls stood between the powders"


def seam_words(job: Job, units: Units) -> str:
    """Return what the walls leave, and on how much of the faces the bridges of an insert may show, if there is one."""
    try:
        streaks = insert_of(job).found.harm
    except RequestError:  # walls alone are printed
        streaks = 0.0
    if streaks < LEAST_TOLD:
        return SEAMS
    streaks = max(round(streaks), 1)  # both sizes from one number, or they do not add up
    shown, side = units.area(streaks, form=".0f"), units.length(streaks**0.5, form=".2g")
    return (
        f"{SEAMS}, with short dark streaks where those walls were joined: at most {shown} of both faces together, as "
        f"much as a square {side} wide"
    )
