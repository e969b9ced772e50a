"""The blade in the hand as a file: a page, or a solid for other programs."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import check_writable, write_whole
from preview.in_hand.glb import blade_glb
from preview.in_hand.page import turning_page
from preview.job.job import Job


def save_view(job: Job, path: str | Path, *, force: bool = False) -> None:
    """Write a job's blade as a page that turns it (HTML) or as a solid (GLB), by the path's ending.

    Raises
    ------
    FileError
        If the path ends otherwise, or the file exists and ``force`` is not given, or cannot be written.
    """
    path = Path(path)
    check_writable([path], force=force)
    match path.suffix.lower():
        case ".html":
            content = turning_page(job).encode()
        case ".glb":
            content = blade_glb(job)
        case other:
            msg = f"{path}: a blade in the hand is .html or .glb; given {other or 'a name without ending'}"
            raise FileError(msg)
    write_whole(path, content, force=force)
