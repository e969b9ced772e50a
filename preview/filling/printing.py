"""A job's dividers for the printer: solids, drawings at true size, and what to look at."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from preview.base.cautions import CAUTIONS
from preview.base.files import check_folder, write_into
from preview.base.progress import counted
from preview.base.units import METRIC, Units
from preview.filling.dividers import Dividers, Printing, dividers
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.solids import mf3_bytes, stl_bytes
from preview.job.job import Job
from preview.pipeline import laid_raster

DIVIDER_FILES = ("dividers.stl", "dividers.3mf", "dividers.svg", "dividers.dxf", "dividers.txt")
"""What `printable_files` makes: solids, drawings at true size, and what to look at."""


def dividers_of(job: Job, printing: Printing | None = None) -> Dividers:
    """Return the dividers of a job's pattern; see `preview.filling.dividers.dividers`."""
    return dividers(laid_raster(job), job.pattern_area, job.divider_depth, printing or Printing())


def divider_text(found: Dividers, units: Units = METRIC) -> str:
    """Return what the dividers are, what to look at, and cautions, as text."""
    room, wide, tall = (units.length(*sizes, form="g") for sizes in (found.room, (found.bead,), (found.height,)))
    lines = [
        f"Dividers for a can of {room} inside: {len(found.parts)} parts, walls {wide} wide and {tall} tall, "
        f"{found.share:.1%} of the can.",
        "",
    ]
    for number, part in enumerate(found.parts, start=1):
        left, low, right, top = part.bounds
        size = units.length(right - left, top - low, form=".1f")
        middle = units.length((left + right) / 2, (low + top) / 2, form="+.1f", between=", ")
        lines.append(f"part {number}: {size}, middle {middle} from the middle of the can")
    troubles = found.trouble_lines(units)
    if troubles:
        lines += ["", "Look at this:", *(f"- {line}" for line in troubles)]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def printable_files(found: Dividers, units: Units = METRIC) -> dict[str, bytes]:
    """Return the files of `DIVIDER_FILES`, the text told in ``units``."""
    makers: tuple[Callable[[Dividers], bytes], ...] = (
        stl_bytes,
        mf3_bytes,
        lambda found: svg_text(found).encode(),
        dxf_bytes,
        lambda found: divider_text(found, units).encode(),
    )
    contents = (make(found) for make in counted("the dividers' files", makers))
    return dict(zip(DIVIDER_FILES, contents, strict=True))


def save_dividers(
    job: Job, folder: str | Path, *, printing: Printing | None = None, force: bool = False
) -> tuple[Path, ...]:
    """Write a job's dividers into ``folder``: the files of `DIVIDER_FILES`; return their paths."""
    folder = Path(folder)
    check_folder(folder, DIVIDER_FILES, force=force)
    return write_into(folder, printable_files(dividers_of(job, printing)), force=force)
