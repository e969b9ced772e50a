"""Pictures and arrays as bytes of files, and files in a folder."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TextIO

import numpy as np

from preview.base.cautions import FOOT
from preview.base.errors import FileError
from preview.base.files import check_folder, check_writable, write_into, write_whole
from preview.base.pictures import png_bytes
from preview.base.progress import counted
from preview.base.results import plain
from preview.base.tables import format_points, parse_points, read_points
from preview.base.units import METRIC, Units
from preview.blade.outlines import Outline
from preview.face.view import scale_for
from preview.forge.bands import worst_first
from preview.forge.draws import likely
from preview.job.file import dump_job
from preview.job.job import Job
from preview.look.caption import caption
from preview.look.profile import profile_picture
from preview.pipeline import PREVIEW_WIDTH, Preview, after_years, fields, preview, trace
from preview.sheets.report import report_dict, report_text
from preview.sheets.wear_words import wear_text, years_caption

SECTION_PX_PER_MM = 20.0

CAPTION = 3.5
"""Height of the letters under a picture, mm."""

FILES = ("faces.png", "spine.png", "section.png", "numbers.json", "report.txt")
"""What `save_preview` writes: both faces, the section at mid-length, the numbers as JSON, the report as text."""

LIKELY_FILES = ("likely_looks.png", "likely_map.png", "likely_places.png", "likely.json")
"""What `render` writes as well where likely looks are asked for."""

WORN_FILES = ("after_years.png", "after_years.txt")
"""What `render` writes as well where the edge is to be sharpened back."""


def save_preview(shown: Preview, folder: str | Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write a preview into ``folder``: both faces, the spine from above, section at mid-length, numbers and report.

    Returns
    -------
    tuple of Path
        The files written, those of `FILES`.

    Raises
    ------
    FileError
        If the folder cannot be made, or a file exists and ``force`` is not given, or cannot be written.
    """
    return write_into(Path(folder), _preview_files(shown), force=force)


def _preview_files(shown: Preview, units: Units = METRIC) -> dict[str, bytes]:
    middle = shown.job.blade.outline.length / 2
    numbers = json.dumps(report_dict(shown), indent=2, ensure_ascii=False) + "\n"
    contents = (
        png_bytes(shown.picture, shown.px_per_mm),
        png_bytes(shown.spine(), shown.px_per_mm),
        png_bytes(shown.section(middle, SECTION_PX_PER_MM).explained, SECTION_PX_PER_MM),
        numbers.encode(),
        report_text(shown, units).encode(),
    )
    return dict(zip(FILES, contents, strict=True))


def save_fields(job: Job, px_per_mm: float, path: str | Path, *, force: bool = False) -> None:
    """Write the raw arrays of both faces (see `preview.pipeline.fields`) and ``meta`` (JSON text) as an NPZ file."""
    path = Path(path)
    check_writable([path], force=force)
    arrays: dict[str, Any] = dict(fields(job, px_per_mm))
    meta = {
        "px_per_mm": px_per_mm,
        "powders": [powder.name for powder in job.powders],
        "frames": "blade: along heel to tip, across edge to spine, through + to the right face; "
        "can: along, across, up; millimetres",
        "job": dump_job(job),
    }
    write_whole(path, _npz_bytes({"meta": np.array(json.dumps(meta)), **arrays}), force=force)


def _npz_bytes(arrays: Mapping[str, Any]) -> bytes:
    """Return arrays as an NPZ file, deflated at the quickest level: half the time of numpy's, a twentieth larger."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
        for name, values in counted("packing the arrays", tuple(arrays.items())):
            with packed.open(f"{name}.npy", "w", force_zip64=True) as member:
                np.lib.format.write_array(member, np.asarray(values), allow_pickle=False)
    return stream.getvalue()


def render(
    job: Job,
    folder: str | Path,
    *,
    px_per_mm: float = 16.0,
    draws: int = 0,
    sharpened: float = 0.0,
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Preview ``job`` at ``px_per_mm`` and write it into ``folder``; see `save_preview`.

    With ``draws`` the files of `LIKELY_FILES` are written too: six likely looks, the map of how likely each spot
    is bright, the right face with an ellipse round each part of its motif, and the bands of the pattern's place. Scale
    bar and report are in ``units``. With ``sharpened`` those of `WORN_FILES` are: both faces once so many mm of the
    edge are sharpened away, and what goes with them.
    """
    more = (*(LIKELY_FILES if draws else ()), *(WORN_FILES if sharpened else ()))
    check_folder(Path(folder), (*FILES, *more), force=force)
    worn = after_years(job, sharpened, px_per_mm=px_per_mm) if sharpened else None
    files = _preview_files(preview(job, px_per_mm=px_per_mm, units=units), units)
    if draws:
        files |= _likely_files(job, draws)
    if worn:
        picture = worn.picture(units)
        words = f"{years_caption(worn.numbers, 'right face above, left face below', units)} {FOOT}"
        told = caption(words, picture.shape[1], round(CAPTION * px_per_mm))
        contents = png_bytes(np.concatenate([picture, told]), px_per_mm), wear_text(worn.numbers, units).encode()
        files |= dict(zip(WORN_FILES, contents, strict=True))
    return write_into(Path(folder), files, force=force)


def _likely_files(job: Job, draws: int) -> dict[str, bytes]:
    found = likely(job, draws=draws)
    scale = scale_for(job.blade.outline, PREVIEW_WIDTH)
    bands = {
        "draws": found.draws, "seed": job.seed,
        "bands": plain(worst_first(found.bands)), "ellipses": plain(found.parts),
    }  # fmt: skip
    contents = (
        png_bytes(found.sheet, scale),
        png_bytes(found.map, scale),
        png_bytes(found.where, scale),
        (json.dumps(bands, indent=2) + "\n").encode(),
    )
    return dict(zip(LIKELY_FILES, contents, strict=True))


def save_profile(outline: Outline, path: str | Path, *, units: Units = METRIC, force: bool = False) -> None:
    """Write what is understood of an outline as a picture, SVG or PNG by the path's ending."""
    path = Path(path)
    check_writable([path], force=force)
    match path.suffix.lower():
        case ".svg":
            content = profile_picture(outline, "svg", units)
        case ".png":
            content = profile_picture(outline, "png", units)
        case other:
            msg = f"{path}: a picture of an outline is .svg or .png; given {other or 'a name without ending'}"
            raise FileError(msg)
    write_whole(path, content, force=force)


def trace_table(job: Job, points: str | Path | TextIO, *, reverse: bool = False) -> str:
    """Return, as CSV text, points beside where they lay in the can (reversed: go on the blade).

    ``points`` is a CSV file's path, or a stream of such text, as standard input is.
    """
    given = read_points(Path(points)) if isinstance(points, (str, Path)) else parse_points(points.read(), "points")
    return format_points(given, trace(job, given, reverse=reverse), reverse=reverse)


def save_text(text: str, path: str | Path, *, force: bool = False) -> None:
    """Write ``text`` as UTF-8; an existing file is kept unless ``force`` is given."""
    write_whole(Path(path), text.encode(), force=force)
