"""A job's dividers for the printer: solids, drawings at true size, and what to look at; as walls, and in one line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from preview.base.cautions import CAUTIONS
from preview.base.errors import RequestError
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.progress import counted
from preview.base.units import METRIC, Units, say
from preview.filling.can_drawing import draw_can
from preview.filling.can_plan import Room, can_plan, plan_lines, plan_turns
from preview.filling.dividers import Dividers, Printing, dividers
from preview.filling.drawings import dxf_bytes, svg_text
from preview.filling.fill import fill, usual_fill
from preview.filling.fill_remarks import fill_remarks
from preview.filling.insert import Insert, insert_notes, insert_of
from preview.filling.insert_preview import PX_PER_MM, insert_picture
from preview.filling.plan_svg import plan_svg
from preview.filling.plastic import SPEED
from preview.filling.solids import insert_solids, mf3_bytes, solids, stl_bytes
from preview.job.job import Job
from preview.pipeline import laid_raster

DIVIDER_FILES = ("dividers.stl", "dividers.3mf", "dividers.svg", "dividers.dxf", "dividers.txt")
"""What `printable_files` makes: solids, drawings at true size, and what to look at."""

ORDINARY, SPIRAL = "ordinary_printing", "spiral_printing"
"""The folders of what is printed either way: the walls, or the insert instead."""

MOST_WALLS = 5000
"""Walls that are taken: printing and placing more is no work for a hand."""


def dividers_of(job: Job, printing: Printing | None = None) -> Dividers:
    """Return the dividers of a job's pattern; see `preview.filling.dividers.dividers`."""
    return dividers(laid_raster(job), job.pattern_area, job.divider_depth, printing or Printing(), most=MOST_WALLS)


def divider_words(found: Dividers, units: Units = METRIC) -> list[str]:
    """Return what the dividers are and how they are printed, a sentence or two each."""
    room, wide, layer, tall = (
        units.length(*sizes, form="g") for sizes in (found.room, (found.bead,), (found.layer,), (found.height,))
    )
    return [
        f"Dividers for a can of {room} inside: {len(found.parts)} parts, walls {wide} wide and {tall} tall, "
        f"{found.share:.1%} of the can.",
        "Slice dividers.stl or dividers.3mf in the ordinary way: spiral printing off, one outline, no top, no bottom, "
        f"no filling, a bead {wide} wide, layers {layer} high. For spiral printing take the insert.",
        "Where the slicing program asks up to what angle of a wedge it lays a bead in its middle, give the largest (59 "
        "degrees do): with the usual 10 beads end short of one another where walls meet, and powder leaks.",
        f"{_plastic_words(found, units)} The ways between the parts come on top.",
    ]


def _plastic_words(found: Dividers | Insert, units: Units) -> str:
    hours, minutes = divmod(round(found.minutes), 60)
    speed = units.length(SPEED, form="g")
    return f"Some {found.plastic:.0f} g of plastic and {hours} h {minutes} min (usual filament, {speed} a second)."


def divider_text(found: Dividers, units: Units = METRIC) -> str:
    """Return what the dividers are, what to look at, and cautions, as text."""
    lines = [
        "Print either these parts or, where there is one, the insert (insert.txt) instead: not both.",
        "",
        *divider_words(found, units),
        "",
    ]
    for number, part in enumerate(found.parts, start=1):
        left, low, right, top = part.bounds
        size = units.length(right - left, top - low, form=".1f")
        middle = units.length((left + right) / 2, (low + top) / 2, form="+.1f", between=", ")
        lines.append(f"part {number}: {size}, middle {middle} from the middle of the can")
    troubles = found.trouble_lines(units)
    if troubles:
        alone = "Look at this, where you print these parts (an insert in one piece holds what stands loose here):"
        lines += ["", alone, *(f"- {line}" for line in troubles)]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def insert_words(made: Insert, units: Units = METRIC) -> list[str]:
    """Return what an insert is and how it is printed, a sentence or two each."""
    room, bead, layer, tall, base = (
        units.length(*sizes, form="g")
        for sizes in (made.room, (made.bead,), (made.layer,), (made.height,), (made.base,))
    )
    count = len(made.found.lines)
    turn = units.length(made.found.length, form=".0f")
    bottom = f"a bottom {base} thick, which burns out with the walls" if made.base else "no bottom"
    solid = "insert.stl or insert.3mf" if count == 1 else f"insert-1.stl to insert-{count}.stl, one after the other"
    return [
        f"Insert for a can of {room} inside: all walls in "
        f"{'one line' if count == 1 else f'{count} lines'}, {turn} a turn, "
        f"{tall} tall, {made.share:.1%} of the can; {len(made.rooms)} rooms for powder.",
        f"Slice {solid}, a solid body, with spiral printing (a vase) on, one outline, no top, no filling, "
        f"{bottom}, a bead {bead} wide, layers {layer} high. Printed in the ordinary way it comes out full.",
        _plastic_words(made, units),
    ]


def insert_text(made: Insert, plan: tuple[Room, ...], units: Units = METRIC) -> str:
    """Return what an insert is, how it is printed, and what to look at, as text."""
    lines = [
        "Print either this insert or the parts (dividers.txt) instead: not both.",
        "",
        *insert_words(made, units),
        "",
        *(f"- {note.told(units)}" for note in insert_notes(made)),
        "",
        "Fill, and tap down, in this order (rooms by their numbers in the drawings; the beads' room is counted out):",
        *plan_lines(plan),
    ]
    return "\n".join([*lines, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS), ""])


def printable_files(found: Dividers, units: Units = METRIC, *, outlined: bool = False) -> dict[str, bytes]:
    """Return the files of `DIVIDER_FILES`, the text told in ``units``; for ``outlined`` see `svg_text`."""
    shapes = solids(found)
    makers: tuple[Callable[[], bytes], ...] = (
        lambda: stl_bytes(shapes),
        lambda: mf3_bytes(shapes, found.bed),
        lambda: svg_text(found, outlined=outlined).encode(),
        lambda: dxf_bytes(found),
        lambda: divider_text(found, units).encode(),
    )
    contents = (make() for make in counted("the dividers' files", makers))
    return dict(zip(DIVIDER_FILES, contents, strict=True))


def insert_files(
    made: Insert, plan: tuple[Room, ...], units: Units = METRIC, *, outlined: bool = False
) -> dict[str, bytes]:
    """Return an insert's files: an STL a line, all lines as 3MF, drawings, and how to print it, told in ``units``."""
    shapes = insert_solids(made)
    contents = (
        *(stl_bytes({name: solid}) for name, solid in shapes.items()),
        mf3_bytes(shapes, made.bed),
        svg_text(made, outlined=outlined).encode(),
        dxf_bytes(made),
        insert_text(made, plan, units).encode(),
    )
    return dict(zip(insert_names(made), contents, strict=True))


def insert_names(made: Insert) -> tuple[str, ...]:
    """Return the names of the files that `insert_files` makes."""
    count = len(made.found.lines)
    stls = ("insert.stl",) if count == 1 else tuple(f"insert-{number}.stl" for number in range(1, count + 1))
    return (*stls, "insert.3mf", "insert.svg", "insert.dxf", "insert.txt")


def all_files(
    job: Job, printing: Printing | None = None, *, units: Units = METRIC, outlined: bool = False
) -> dict[str, bytes]:
    """Return the files of a job's dividers, the ways to print them in a folder each, and the can's plan.

    `ORDINARY` holds the walls, `SPIRAL` the insert and what it leaves. Where there can be no insert, it is said why,
    and the plan shows the walls.
    """
    printing = printing or Printing()
    walls = printable_files(dividers_of(job, printing), units, outlined=outlined)
    plan: tuple[Room, ...] = ()
    try:
        made = insert_of(job, printing)
    except RequestError as error:
        why = say("There is no insert in one line: {}.\n", error.faults[0].problem)
        whole = {"insert.txt": why.told(units).encode()}
    else:
        plan = can_plan(job, made)
        whole = insert_files(made, plan, units, outlined=outlined)
        whole["insert_preview.png"] = png_bytes(insert_picture(job, made), PX_PER_MM)
    drawn = draw_can(job, printing)
    words = _plan_words(job, printing, units)
    return {
        **{f"{ORDINARY}/{name}": content for name, content in walls.items()},
        **{f"{SPIRAL}/{name}": content for name, content in whole.items()},
        "can_plan.svg": plan_svg(drawn, plan_turns(plan), words).encode(),
    }


def _plan_words(job: Job, printing: Printing, units: Units) -> list[str]:
    """Return what stands under a can's plan: its title, the fill density, and what is to be heeded of the fill."""
    filling = fill(job, printing.bead)
    usual = usual_fill(job, filling.fills)
    remarks = fill_remarks(job, filling.fills, filling.density, usual)
    density = f"Filled to {filling.density:.3f} of solid steel, the dividers' room counted in."
    return [
        f"The can's plan: {job.title or 'blade'}",
        density,
        *(f"Look at this: {each.words.told(units)}" for each in remarks),
    ]


def save_dividers(
    job: Job,
    folder: str | Path,
    *,
    printing: Printing | None = None,
    units: Units = METRIC,
    outlined: bool = False,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write a job's dividers into ``folder``: the files of `all_files`, told in ``units``; return their paths."""
    folder = Path(folder)
    check_folder(folder, [f"{ORDINARY}/{name}" for name in DIVIDER_FILES], force=force)
    return write_into(folder, all_files(job, printing, units=units, outlined=outlined), force=force)
