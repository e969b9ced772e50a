"""Files for the shop: the layout of a can, its dividers, own dividers filled, and the budget."""

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
from preview.base.errors import RequestError
from preview.base.files import check_folder, write_all, write_into
from preview.base.pictures import jpeg_bytes, png_bytes
from preview.base.progress import counted
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.blade.grind import Side
from preview.face.view import View
from preview.filling.agreement import Agreement
from preview.filling.budget import Budget
from preview.filling.budget_words import whole_budget
from preview.filling.dividers import Dividers, Printing, dividers, trouble_lines
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.layout import PICTURE, Layout, agreement_of, wanted_bright
from preview.filling.regions import PX_PER_MM, Regions, fill_regions, numbered_picture
from preview.filling.solids import mf3_bytes, stl_bytes
from preview.filling.wanted import Wanted
from preview.job.calibration import dump_calibration
from preview.job.faults import made
from preview.job.file import dump_job
from preview.job.job import Job
from preview.pattern.pattern import Pattern
from preview.pipeline import Preview, laid_raster, preview

DIVIDER_FILES = ("dividers.stl", "dividers.3mf", "dividers.svg", "dividers.dxf", "dividers.txt")
"""What `printable_files` makes: solids, drawings at true size, and what to look at."""

PAPER, INK = 214, 40


def make_printing(values: dict[str, Any]) -> Printing:
    """Return how dividers are printed, from plain values; raise `RequestError` with every fault."""
    return made(Printing, values, "printing")


def make_wanted(values: dict[str, Any]) -> Wanted:
    """Return a wanted picture, from plain values; raise `RequestError` with every fault."""
    return made(Wanted, values, "wanted")


def dividers_of(job: Job, printing: Printing | None = None) -> Dividers:
    """Return the dividers of a job's pattern; see `preview.filling.dividers.dividers`."""
    return dividers(laid_raster(job), job.pattern_area, job.divider_depth, printing or Printing())


def divider_text(found: Dividers) -> str:
    """Return what the dividers are, what to look at, and cautions, as text."""
    width, height = found.room
    lines = [
        f"Dividers for a can of {width:g} x {height:g} mm inside: {len(found.parts)} parts, walls {found.bead:g} mm "
        f"wide and {found.height:g} mm tall, {found.share:.1%} of the can.",
        "",
    ]
    for number, part in enumerate(found.parts, start=1):
        left, low, right, top = part.bounds
        lines.append(
            f"part {number}: {right - left:.1f} x {top - low:.1f} mm, middle {(left + right) / 2:+.1f}, "
            f"{(low + top) / 2:+.1f} mm from the middle of the can"
        )
    troubles = trouble_lines(found)
    if troubles:
        lines += ["", "Look at this:", *(f"- {line}" for line in troubles)]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def printable_files(found: Dividers) -> dict[str, bytes]:
    """Return the files of `DIVIDER_FILES`."""
    contents = (stl_bytes(found), mf3_bytes(found), svg_text(found).encode(), dxf_bytes(found))
    return dict(zip(DIVIDER_FILES, (*contents, divider_text(found).encode()), strict=True))


def save_dividers(
    job: Job, folder: str | Path, *, printing: Printing | None = None, force: bool = False
) -> tuple[Path, ...]:
    """Write a job's dividers into ``folder``: the files of `DIVIDER_FILES`; return their paths."""
    folder = Path(folder)
    check_folder(folder, DIVIDER_FILES, force=force)
    return write_into(folder, printable_files(dividers_of(job, printing)), force=force)


def job_files(job: Job) -> dict[str, bytes]:
    """Return the job file, and its calibration file where it names one."""
    files = {"job.toml": dump_job(job).encode()}
    if job.forge and job.calibration:
        files[job.calibration] = dump_calibration(job.forge).encode()
    return files


def laid_out(layout: Layout, folder: Path) -> Job:
    """Return a layout's job with its pattern picture, written into ``folder``, a folder of the program's own."""
    write_all({folder / PICTURE: png_bytes(layout.picture, layout.px_per_mm)}, force=True)
    return layout.job.model_copy(update={"folder": folder})


def beside_picture(shown: Preview, wanted: Wanted) -> Bytes:
    """Return each wanted face above what shows on it, grey bytes ``(rows, columns)``."""
    rows = []
    for side in wanted.sides:
        view = View(side, shown.job.blade.outline, shown.px_per_mm)
        bright = wanted_bright(shown.job, wanted, view.grid)
        flat = PAPER + view.grid.coverage * (INK + bright * (255 - INK) - PAPER)
        rows.append(_titled(view.framed(flat, PAPER), f"wanted, {side} face"))
        rows.append(_titled(shown.picture_of(side), f"laid out, {side} face"))
    return np.concatenate(rows)


def _titled(picture: NDArray[Any], title: str) -> Bytes:
    image = Image.fromarray(np.clip(np.rint(picture), 0, 255).astype(np.uint8))
    font = ImageFont.load_default(size=max(11, image.width // 80))
    ImageDraw.Draw(image).text((image.width // 100, image.width // 140), title, fill=90, font=font)
    return np.asarray(image)


def layout_text(layout: Layout, found: Mapping[Side, Agreement]) -> str:
    """Return what a layout comes to, as text."""
    lines = ["What to lay in the can so that the wanted picture shows on the ground blade", ""]
    for side, each in found.items():
        lines.append(f"{side.capitalize()} face: {agreement_words(each)}")
    lines += ["", "Shares of the can's floor: " + ", ".join(f"{k} {v:.1%}" for k, v in layout.powders.items() if v), ""]
    lines += [f"- {note}" for note in layout.notes]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def agreement_words(found: Agreement) -> str:
    """Return an agreement in words."""
    words = f"bright areas overlap by {found.overlap:.1%}"
    if found.line_error is not None:
        words += f", lines lie {found.line_error:.3f} mm off (rms), 95 in 100 within {found.line_error_95:.3f} mm"
    return words


def save_layout(
    layout: Layout,
    wanted: Wanted,
    folder: str | Path,
    *,
    printing: Printing | None = None,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write a layout into ``folder``, which is made where it is missing.

    Returns
    -------
    tuple of Path
        Can pattern, job file (with its calibration), the pattern with contested columns marked, wanted picture beside
        the preview, agreement as JSON, text, and the dividers' files; where a part does not fit the printer, or there
        is nothing to divide, an error is raised before anything is written.
    """
    folder = Path(folder)
    names = (
        PICTURE,
        *job_files(layout.job),
        "layout.png",
        "beside.jpg",
        "agreement.json",
        "layout.txt",
        *DIVIDER_FILES,
    )
    check_folder(folder, names, force=force)
    with tempfile.TemporaryDirectory() as place:
        job = laid_out(layout, Path(place))
        found = {side: agreement_of(job, wanted, side) for side in counted("agreement", wanted.sides)}
        parts = printable_files(dividers_of(job, printing))
        shown = preview(job)
        beside = jpeg_bytes(beside_picture(shown, wanted))
    numbers = {
        "agreement": plain(found),
        "powders_share": layout.powders,
        "unused_share": layout.unused,
        "contested_mm2": layout.contested_area,
        "off_blade_share": layout.off_blade,
        "folded_mm2": layout.folded,
    }
    contents = {
        PICTURE: png_bytes(layout.picture, layout.px_per_mm),
        **job_files(layout.job),
        "layout.png": png_bytes(layout.marked, layout.px_per_mm),
        "beside.jpg": beside,
        "agreement.json": (json.dumps(numbers, indent=2) + "\n").encode(),
        "layout.txt": layout_text(layout, found).encode(),
        **parts,
    }
    return write_into(folder, contents, force=force)


def filled_job(job: Job, picture: str = PICTURE) -> Job:
    """Return ``job`` with the whole can filled by the pattern called ``picture``."""
    return job.model_copy(update={"pattern": Pattern(picture=picture, dividers=job.pattern.dividers)})


def save_filled(
    job: Job, regions: Regions, assigned: Mapping[int, str], folder: str | Path, *, force: bool = False
) -> tuple[Path, ...]:
    """Write own dividers, their regions filled with powders, as pattern, job file and numbered picture."""
    filled = filled_job(job)
    contents = {
        PICTURE: png_bytes(fill_regions(regions, job.powders, assigned), PX_PER_MM),
        **job_files(filled),
        "regions.png": png_bytes(numbered_picture(regions, job.powders, assigned, 16.0), 16.0),
    }
    return write_into(Path(folder), contents, force=force)


def save_budget(
    job: Job, found: Budget, folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Write a budget into ``folder`` as text, told in ``units``, and as JSON."""
    numbers = json.dumps(plain(found), indent=2, ensure_ascii=False) + "\n"
    text = whole_budget(job, found, units)
    contents = {"budget.txt": text.encode(), "budget.json": numbers.encode()}
    return write_into(Path(folder), contents, force=force)


def parse_fill(text: str) -> dict[int, str]:
    """Read which powder each region holds from text such as ``1=nickel, 3=nickel``.

    Raises
    ------
    RequestError
        If a part of the text is no number = powder.

    Examples
    --------
    >>> parse_fill("1=nickel, 3 = plain")
    {1: 'nickel', 3: 'plain'}
    """
    assigned = {}
    for part in filter(None, (each.strip() for each in text.split(","))):
        number, equals, name = part.partition("=")
        if not equals or not number.strip().isdecimal() or not name.strip():
            raise RequestError.at("fill", f"region number = powder is needed, such as 1=nickel; given {part!r}")
        assigned[int(number)] = name.strip()
    return assigned
