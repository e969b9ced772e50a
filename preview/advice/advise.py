"""All the advice there is on a job, what costs most first."""

from __future__ import annotations

from preview.advice.advice import Advice
from preview.advice.bare import bare_faces
from preview.advice.can import misfilled, short_for_tang, too_large
from preview.advice.pattern import beside, faded, off_middle, too_fine
from preview.advice.skin import short_of_carbon
from preview.face.stretch import picture_stretch
from preview.pipeline import Preview, find_origins


def advise(shown: Preview) -> tuple[Advice, ...]:
    """Return what is better changed before the steel is gone, what costs most steel first."""
    job, numbers = shown.job, shown.numbers
    bare = max(face.shell_share + face.lost_share for face in (numbers.right, numbers.left))
    found = (
        *bare_faces(job, bare),
        *too_large(job),
        *short_for_tang(job),
        *misfilled(job),
        *beside(job, numbers.motif_off),
        *off_middle(job),
        *short_of_carbon(job),
        *too_fine(job, numbers.unseen, numbers.finest),
        *faded(job, numbers.softening, picture_stretch(find_origins(job))),
    )
    return tuple(sorted(found, key=lambda each: -each.cost))
