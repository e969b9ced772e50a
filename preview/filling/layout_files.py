"""A layout in pictures, words and files."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes
from preview.base.cautions import CAUTIONS
from preview.base.files import check_folder, write_into
from preview.base.pictures import jpeg_bytes, png_bytes
from preview.base.progress import counted
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.blade.grind import Side
from preview.filling.agreement import Agreement
from preview.filling.dividers import Printing
from preview.filling.layout import PICTURE, Layout, agreement_of, wanted_bright
from preview.filling.printing import DIVIDER_FILES, ORDINARY, all_files
from preview.filling.wanted import Wanted
from preview.job.file import job_files, settle
from preview.job.job import Job
from preview.pipeline import Preview, preview

PAPER, INK = 214, 40


def laid_out(layout: Layout, folder: Path) -> Job:
    """Return a layout's job, with its files in ``folder``, a folder of the program's own."""
    return settle(layout.job, folder, _picture(layout))


def _picture(layout: Layout) -> dict[str, bytes]:
    return {PICTURE: png_bytes(layout.picture, layout.px_per_mm)}


def _beside_picture(shown: Preview, wanted: Wanted) -> Bytes:
    """Return each wanted face above what shows on it, RGB bytes ``(rows, columns, 3)``."""
    rows = []
    for side in wanted.sides:
        view = shown.view(side)
        bright = wanted_bright(shown.job, wanted, view.grid)
        flat = PAPER + view.grid.coverage * (INK + bright * (255 - INK) - PAPER)
        rows.append(_titled(np.repeat(view.framed(flat, PAPER)[..., None], 3, axis=2), f"wanted, {side} face", 90))
        rows.append(_titled(shown.picture_of(side), f"laid out, {side} face", 235))
    return np.concatenate(rows)


def _titled(picture: NDArray[Any], title: str, tone: int) -> Bytes:
    image = Image.fromarray(np.clip(np.rint(picture), 0, 255).astype(np.uint8))
    font = ImageFont.load_default(size=max(11, image.width // 80))
    ImageDraw.Draw(image).text((image.width // 100, image.width // 140), title, fill=(tone,) * 3, font=font)
    return np.asarray(image)


def layout_text(layout: Layout, found: Mapping[Side, Agreement], units: Units = METRIC) -> str:
    """Return what a layout comes to, as text."""
    lines = ["What to lay in the can so that the wanted picture shows on the ground blade", ""]
    for side, each in found.items():
        lines.append(f"{side.capitalize()} face: {each.words(units)}")
    lines += ["", "Shares of the can's floor: " + ", ".join(f"{k} {v:.1%}" for k, v in layout.powders.items() if v), ""]
    lines += [f"- {note.told(units)}" for note in layout.notes]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def save_layout(
    layout: Layout,
    wanted: Wanted,
    folder: str | Path,
    *,
    printing: Printing | None = None,
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write a layout into ``folder``, which is made where it is missing, its words told in ``units``.

    Returns
    -------
    tuple of Path
        Job file and the files it names, the can pattern first; the pattern with contested columns marked, wanted
        picture beside the preview, agreement as JSON, text, and the dividers' files; where a part does not fit the
        printer, or there is nothing to divide, an error is raised before anything is written.
    """
    folder = Path(folder)
    whole = job_files(layout.job, _picture(layout))
    names = (
        *whole,
        "layout.png",
        "beside.jpg",
        "agreement.json",
        "layout.txt",
        *(f"{ORDINARY}/{name}" for name in DIVIDER_FILES),
    )
    check_folder(folder, names, force=force)
    with tempfile.TemporaryDirectory() as place:
        job = laid_out(layout, Path(place))
        found = {side: agreement_of(job, wanted, side) for side in counted("agreement", wanted.sides)}
        parts = all_files(job, printing, units=units)
        shown = preview(job)
        beside = jpeg_bytes(_beside_picture(shown, wanted))
    numbers = {
        "agreement": plain(found),
        "powders_share": layout.powders,
        "unused_share": layout.unused,
        "contested_mm2": layout.contested_area,
        "off_blade_share": layout.off_blade,
        "folded_mm2": layout.folded,
    }
    contents = {
        **whole,
        "layout.png": png_bytes(layout.marked, layout.px_per_mm),
        "beside.jpg": beside,
        "agreement.json": (json.dumps(numbers, indent=2) + "\n").encode(),
        "layout.txt": layout_text(layout, found, units).encode(),
        **parts,
    }
    return write_into(folder, contents, force=force)
