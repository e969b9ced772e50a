"""What is said of the left face, where the pattern goes through the blade."""

from __future__ import annotations

from preview.job.job import Job
from preview.pattern.mirror import is_own_mirror
from preview.pipeline import laid_raster

MIRRORED = (
    "The left face shows the pattern mirrored, since it runs through from face to face; letters, if any, read "
    "backwards there."
)


def mirror_words(job: Job) -> str:
    """Return that the left face shows the pattern mirrored; nothing where that is the same, or does not come about."""
    upright = job.pattern.direction.upright
    return MIRRORED if upright and not is_own_mirror(laid_raster(job).cells) else ""
