"""A drawing of an outline on its own, before a job names it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from preview.blade.outlines import DrawnOutline
from preview.job.faults import make_settings


def read_outline(path: str | Path, stated: Mapping[str, Any] | None = None) -> DrawnOutline:
    """Read the outline that a drawing (SVG or DXF) shows.

    Parameters
    ----------
    path
        The drawing.
    stated
        What it may not tell, as in a job's ``[blade.outline]``: ``length``, ``turn``, ``tip_at`` and so on.

    Raises
    ------
    FileError
        If the drawing cannot be read or is no outline.
    RequestError
        If what is stated cannot be.
    """
    path = Path(path)
    return make_settings(DrawnOutline, {**(stated or {}), "drawing": path.name}, "outline").in_folder(path.parent)
