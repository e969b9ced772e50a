"""Shapes of a flat drawing, SVG or DXF: read safely, in millimetres."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

from preview.base.drawing import MOST_NUMBERS, Drawing, TooMuch, Unit, too_many_points
from preview.base.dxf_shapes import read_dxf
from preview.base.errors import FileError
from preview.base.svg_shapes import read_svg

FLAT = (".svg", ".dxf")


def read_shapes(path: Path, content: bytes, *, stray: float, unit: Unit = "mm") -> Drawing:
    """Read an SVG or DXF file.

    Parameters
    ----------
    path
        The file, whose ending says what it is.
    content
        What stands in it.
    stray
        How far (mm) a chord may lie from the curve that it stands for.
    unit
        Unit of a drawing that states none.

    Raises
    ------
    FileError
        If it is broken, has too many points, or entities or scripts of its own.
    """
    kind = path.suffix.lower()
    if kind == ".svg":
        check_markup(path, content)
    try:
        if sum(1 for _ in re.finditer(rb"\d+(?:\.\d*)?", content)) > MOST_NUMBERS:
            raise too_many_points()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused later on, or harmless
            return read_svg(content, stray, unit) if kind == ".svg" else read_dxf(path, stray, unit)
    except TooMuch as error:
        msg = f"{path}: {error}"
        raise FileError(msg) from None
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        told = " ".join(str(error).split())[:200] or type(error).__name__
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({told})"
        raise FileError(msg) from None


def check_markup(path: Path, start: bytes) -> None:
    """Raise `FileError` where XML defines entities or holds a script."""
    start = start.replace(b"\0", b"")  # as it reads in any of the encodings that XML has
    if b"<!entity" in start.lower():
        msg = f"{path}: its XML defines entities of its own, which are not taken; save it without them"
        raise FileError(msg)
    if re.search(rb"<\s*(?:\w+:)?script", start, re.IGNORECASE):
        msg = f"{path}: holds a script, which is not taken; save it as a plain drawing"
        raise FileError(msg)
