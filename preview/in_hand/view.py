"""The blade in the hand as a file: a page, a picture, or a solid for other programs."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import check_writable, write_whole
from preview.base.pictures import png_bytes
from preview.in_hand.glb import blade_glb
from preview.in_hand.page import turning_page
from preview.in_hand.views import views
from preview.job.job import Job

PRINTED = 10.0
"""Pixels in a millimetre at which views print: they have no true size."""


def save_view(job: Job, path: str | Path, *, force: bool = False) -> None:
    """Write a job's blade as a page that turns it (HTML), as `views` of it (PNG) or as a solid (GLB), by the ending.

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
        case ".png":
            content = png_bytes(views(job), PRINTED)
        case other:
            msg = f"{path}: a blade in the hand is .html, .png or .glb; given {other or 'a name without ending'}"
            raise FileError(msg)
    write_whole(path, content, force=force)
