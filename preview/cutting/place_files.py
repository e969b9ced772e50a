"""Places in the bar as files: words, numbers, the picture, and the work with the blade at the best one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.cutting.cut import Cut
from preview.cutting.picture import places_picture
from preview.cutting.places import DRAWS, find_places
from preview.cutting.search import Place
from preview.cutting.words import place_text
from preview.job.file import dump_job, files_of
from preview.job.job import Job

PLACE_FILES = ("place.png", "place.txt", "place.json", "place.toml")
"""What `save_places` writes: the bar's face with the places, what was found, its numbers, the job with the best one."""


def save_places(
    job: Job, cut: Cut, folder: str | Path, *, own: Path | None = None, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Search where to cut and write what comes of it into ``folder``: the files of `PLACE_FILES`, and what a job names.

    The bar's measured size is kept in the job that is written, and is that of the next search unless another is given.

    Raises
    ------
    RequestError
        If the job would take the place of the user's ``own`` file; and as for `preview.cutting.places.find_places`.
    """
    folder = Path(folder)
    check_folder(folder, PLACE_FILES, force=force)
    if own is not None and (folder / PLACE_FILES[-1]).resolve() == own.resolve():
        msg = f"the work with the blade moved would be written over {own} itself; another folder is needed"
        raise RequestError.at("out", msg)
    cut = cut.model_copy(update={"bar": cut.bar or job.measured_bar})
    found = find_places(job, cut)
    chosen = found.laid_so(job, found.best[0])
    drawing = found.drawing
    numbers = {
        "margin_mm": cut.margin,
        "draws": DRAWS,
        "stays": found.stays,
        "parts": [
            {"name": part.name, "weight": part.weight, "length_mm": part.length, "height_mm": part.height}
            for part in found.parts.wanted
        ],
        "now": _numbers(found.now),
        "best": [_numbers(each) for each in found.best],
        "other_face": found.other_face and _numbers(found.other_face),
        "drawing": drawing and {"scale_share": drawing.scale, "moved_mm": drawing.moved, **_numbers(drawing.place)},
    }
    contents = (
        png_bytes(places_picture(found), found.parts.face.grid.px_per_mm),
        place_text(found, job, units).encode(),
        (json.dumps(numbers, indent=2) + "\n").encode(),
        dump_job(chosen).encode(),
    )
    named = {name: each for name, each in files_of(chosen).items() if not _same(folder / name, each)}
    return write_into(folder, dict(zip(PLACE_FILES, contents, strict=True)) | named, force=force)


def _numbers(place: Place) -> dict[str, Any]:
    placement = place.job.blade.placement
    return {
        "off_mm": place.off,
        "mid_plane_mm": placement.mid_plane,
        "turned": placement.turned,
        "mirrored": placement.mirrored,
        "grind_height_mm": place.height,
        "grind_angle_deg": place.angle,
        "chances_share": plain(place.chances),
        "all_whole_share": place.all_whole,
        "weighted_share": place.weighted,
        "in_steel_share": place.in_steel,
    }


def _same(path: Path, content: bytes) -> bool:
    """Say whether a file holds ``content`` already."""
    return path.is_file() and path.read_bytes() == content
