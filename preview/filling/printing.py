"""A job's dividers for the printer: solids, drawings at true size, and what to look at; as walls, and in one line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from preview.base.cautions import CAUTIONS
from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.progress import counted
from preview.base.units import METRIC, Units
from preview.filling.can_drawing import draw_can
from preview.filling.can_plan import Room, can_plan, plan_lines, plan_rows
from preview.filling.dividers import Dividers, Printing, dividers
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.insert import SPEED, Insert, insert_notes, insert_of
from preview.filling.insert_preview import PX_PER_MM, insert_picture
from preview.filling.plan_svg import plan_svg
from preview.filling.solids import insert_solids, mf3_bytes, solids, stl_bytes
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
        "For ordinary printing; for spiral printing take the insert.",
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


def insert_text(made: Insert, plan: tuple[Room, ...], units: Units = METRIC) -> str:
    """Return what an insert is, how it is printed, and what to look at, as text."""
    room, bead, layer, tall, base = (
        units.length(*sizes, form="g")
        for sizes in (made.room, (made.bead,), (made.layer,), (made.height,), (made.base,))
    )
    count = len(made.found.lines)
    turn = units.length(made.found.length, form=".0f")
    speed = units.length(SPEED, form="g")
    bottom = f"a bottom {base} thick, which burns out with the walls" if made.base else "no bottom"
    lines = [
        f"Insert for a can of {room} inside: all walls in "
        f"{'one line' if count == 1 else f'{count} lines'}, {turn} a turn, "
        f"{tall} tall, {made.share:.1%} of the can; {len(made.rooms)} rooms for powder.",
        "",
        "It is a solid body: slice it with spiral printing (a vase) on, one outline, no top, no filling, "
        f"{bottom}, a bead {bead} wide, layers {layer} high. Printed in the ordinary way it comes out full.",
        f"Some {made.plastic:.0f} g of plastic and {made.minutes:.0f} minutes (usual filament, {speed} a second).",
        "",
        *(f"- {note.told(units)}" for note in insert_notes(made)),
        "",
        "Fill, and tap down, in this order (rooms by their numbers in the drawings; the beads' room is counted out):",
        *plan_lines(plan),
    ]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def printable_files(found: Dividers, units: Units = METRIC) -> dict[str, bytes]:
    """Return the files of `DIVIDER_FILES`, the text told in ``units``."""
    shapes = solids(found)
    makers: tuple[Callable[[], bytes], ...] = (
        lambda: stl_bytes(shapes),
        lambda: mf3_bytes(shapes, found.bed),
        lambda: svg_text(found).encode(),
        lambda: dxf_bytes(found),
        lambda: divider_text(found, units).encode(),
    )
    contents = (make() for make in counted("the dividers' files", makers))
    return dict(zip(DIVIDER_FILES, contents, strict=True))


def insert_files(made: Insert, plan: tuple[Room, ...], units: Units = METRIC) -> dict[str, bytes]:
    """Return an insert's files: an STL a line, all lines as 3MF, drawings, and how to print it, told in ``units``."""
    shapes = insert_solids(made)
    return {
        **{f"{name.replace(' ', '-')}.stl": stl_bytes({name: solid}) for name, solid in shapes.items()},
        "insert.3mf": mf3_bytes(shapes, made.bed),
        "insert.svg": svg_text(made).encode(),
        "insert.dxf": dxf_bytes(made),
        "insert.txt": insert_text(made, plan, units).encode(),
    }


def all_files(job: Job, printing: Printing | None = None) -> dict[str, bytes]:
    """Return the files of a job's dividers, as walls and as an insert, with the can's plan and what an insert leaves.

    Where there can be no insert, it is said why, and the plan shows the walls.
    """
    printing = printing or Printing()
    walls = printable_files(dividers_of(job, printing))
    plan: tuple[Room, ...] = ()
    try:
        made = insert_of(job, printing)
    except RequestError as error:
        whole = {"insert.txt": f"No insert in one line: {error}\n".encode()}
    else:
        plan = can_plan(job, made)
        whole = insert_files(made, plan)
        whole["insert_preview.png"] = png_bytes(insert_picture(job, made), PX_PER_MM)
    drawn = draw_can(job, printing)
    return {**walls, **whole, "can_plan.svg": plan_svg(drawn, plan_rows(plan), job.title).encode()}


def save_dividers(
    job: Job, folder: str | Path, *, printing: Printing | None = None, force: bool = False
) -> tuple[Path, ...]:
    """Write a job's dividers into ``folder``: the files of `all_files`; return their paths."""
    folder = Path(folder)
    check_folder(folder, DIVIDER_FILES, force=force)
    return write_into(folder, all_files(job, printing), force=force)
