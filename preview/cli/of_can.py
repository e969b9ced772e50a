"""Commands for what goes into the can: as they are typed and explained."""

from __future__ import annotations

from pathlib import Path

from preview.cli import commands
from preview.cli.options import INTO, START, Commands, command, size_options, unit_options
from preview.cli.parsing import Command, amount, listed


def add_layout(to: Commands) -> None:
    """Add `layout`."""
    layout = command(
        to, "layout", "what to lay in the can so that a picture shows on the face",
        "Goes back from the picture wanted on the ground face to the pattern to lay in the can, with the dividers to "
        "print, and shows how well the blade will agree. For a picture that has to land in its place.",
        f"{START} --wanted demo_patterns/marsh_moon.png --face right --size 60 --out laid",
    )  # fmt: skip
    layout.option(
        "--wanted", type=Path, required=True, metavar="ART.png",
        help="picture wanted on the face, or a drawing of filled shapes (SVG, DXF)",
    )  # fmt: skip
    layout.option("--face", of="Wanted.face", usual="Wanted.face", metavar="FACE", help="face it is wanted on")
    layout.option(
        "--at", type=listed, metavar="ALONG,ACROSS", help="its middle on the blade, mm (default: the blade's)"
    )
    layout.option("--size", type=listed, metavar="W[,H]", help="its size, mm (default: as large as the blade takes)")
    layout.option("--turn", usual="Wanted.turn", metavar="DEG", help="turn it counter-clockwise, degrees")
    layout.option("--swap", action="store_true", help="what is drawn dark is wanted bright, and the other way round")
    _printing_options(layout)
    size_options(layout)
    layout.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    layout.set_defaults(run=commands.layout)


def add_dividers(to: Commands) -> None:
    """Add `dividers`."""
    dividers = command(
        to, "dividers", "dividers of the job's pattern, to print",
        "Turns the edges of the job's pattern into an insert whose walls are printed in one line, round and round, and "
        "into walls one bead wide, each as STL, 3MF, SVG and DXF; says how to print them, and what a printer or the "
        "powder cannot do about them. For a pattern that is settled.",
        f"{START} --bead 0.6 --out walls",
    )  # fmt: skip
    _printing_options(dividers)
    dividers.option("--outlined", action="store_true", help="numbers in the SVGs as outlines, which need no font")
    size_options(dividers)
    dividers.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    dividers.set_defaults(run=commands.dividers)


def _printing_options(command: Command) -> None:
    command.option("--bead", usual="Printing.bead", metavar="MM", help="width of a printed wall, mm")
    command.option("--tolerance", usual="Printing.tolerance", metavar="MM", help="how far walls may stray, mm")
    command.option("--height", metavar="MM", help="height of the walls, mm (default: the fill's depth)")
    command.option("--bed", type=listed, usual="Printing.bed", metavar="W,D,H", help="the printer's room, mm")
    command.option("--clearance", usual="Printing.clearance", metavar="MM", help="from an insert to the can's side, mm")
    command.option("--layer", usual="Printing.layer", metavar="MM", help="height of a printed layer, mm")
    command.option("--base", usual="Printing.base", metavar="MM", help="plate under an insert, mm; it burns out")


def add_fill(to: Commands) -> None:
    """Add `fill`."""
    fill = command(
        to, "fill", "pattern of dividers drawn elsewhere",
        "Reads dividers that you have drawn yourself (STL, 3MF, SVG or DXF), numbers the regions they hold apart, and "
        "fills them with powders: a pattern and a job to render.",
        f"{START} --dividers walls/ordinary_printing/dividers.dxf --powders 2=nickel --out filled",
    )  # fmt: skip
    fill.option("--dividers", type=Path, required=True, metavar="FILE", help="the drawing or solid")
    fill.option(
        "--powders", default="", metavar="N=POWDER,...", help="which region holds which powder; others hold the first"
    )
    fill.option(
        "--unit", of="read_regions.unit", usual="read_regions.unit", metavar="U", help="of a file that states none"
    )
    fill.option("--cut", type=amount, metavar="MM", help="cut a solid so far over its foot, mm (default: half way)")
    fill.option("--walls", of="read_regions.walls", metavar="HOW", help="what a drawing shows, judged if not given")
    fill.option(
        "--solid", of="read_regions.solid", metavar="HOW",
        help="what a solid is, the walls or a body that they are printed round, judged if not given",
    )  # fmt: skip
    fill.option("--close", type=amount, usual="read_regions.close", metavar="MM", help="close gaps at lines' ends, mm")
    fill.option("--bead", type=amount, usual="read_regions.bead", metavar="MM", help="bead printed round a body, mm")
    fill.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    fill.set_defaults(run=commands.fill)


def add_budget(to: Commands) -> None:
    """Add `budget`."""
    budget = command(
        to, "budget", "powder to weigh in, bar sizes hot and cold, losses, and can size needed",
        "Weighs the job: grams of each powder, the bar's sizes after each step, cold and as a caliper reads them hot, "
        "what is lost, and the can that the blade needs; first of all what costs most steel as it is. Before powder is "
        "bought and steel is heated.",
        f"{START} --margin 5",
    )  # fmt: skip
    budget.option("--margin", type=amount, usual="weigh.margin", metavar="MM", help="bar wanted beyond each end, mm")
    budget.option("--read-at", type=amount, usual="weigh.read_at", metavar="C", help="temperature of hot sizes, °C")
    budget.option(
        "--bead", type=amount, usual="Printing.bead", metavar="MM",
        help="width of the dividers' walls, mm; 0 if they are drawn out again",
    )  # fmt: skip
    unit_options(budget)
    budget.option(
        "--out", type=Path, metavar="DIR", help=f"{INTO}: budget.txt and budget.json (default: text is shown only)"
    )
    budget.set_defaults(run=commands.budget)
