"""What a client is told of the walls that part the powders while the can is filled."""

from __future__ import annotations

from preview.base.errors import RequestError
from preview.base.units import Units
from preview.filling.insert import insert_of
from preview.job.job import Job

LEAST_TOLD = 0.5
"""Area (mm2) of streaks on the faces from which it is told."""

SEAMS = "Where printed walls stood between the powders fine dark seams are left, which the pictures do not show"


def seam_words(job: Job, units: Units) -> str:
    """Return what the walls leave, and on how much of the faces the bridges of an insert may show, if there is one."""
    try:
        streaks = insert_of(job).found.harm
    except RequestError:  # walls alone are printed
        streaks = 0.0
    if streaks < LEAST_TOLD:
        return f"{SEAMS}."
    shown = units.area(streaks, form=".0f")
    return f"{SEAMS}; the bridges that joined them show too, on at most {shown} of both faces together."
