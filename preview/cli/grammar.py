"""The commands and their options, as they are typed and explained."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from preview.cli import commands
from preview.cli.parsing import EPILOG, Command, Completion, Parser, Version, amount, draws, listed, resolution

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Command]

START = "demo_patterns/plain_start.toml"


class Given(NamedTuple):
    """The file that a command is given."""

    name: str
    metavar: str
    help: str


JOB = Given("job", "JOB", "job file (TOML)")
INTO = "folder to write into, made where it is missing"


def parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    whole = Parser(
        prog="etch-preview",
        description="See the etched pattern of a two-powder mosaic blade before the can is welded, forged and ground.",
        epilog=EPILOG,
    )
    whole.add_argument("--version", action=Version, nargs=0, help="show the program's version and exit")
    whole.add_argument(
        "--print-completion", action=Completion, choices=("bash", "zsh"), metavar="SHELL",
        help="print what the shell (bash or zsh) needs to complete commands, options and names of files, and exit",
    )  # fmt: skip
    to = whole.add_subparsers(title="commands", required=True, metavar="COMMAND", parser_class=Command)
    for add in (
        _add_page, _add_render, _add_fields, _add_trace, _add_layout, _add_dividers, _add_fill, _add_budget,
        _add_trials, _add_sheet, _add_calibrate, _add_sketch, _add_outline, _add_pack,
    ):  # fmt: skip
        add(to)
    return whole


def _command(to: Commands, name: str, gives: str, about: str, example: str, given: Given = JOB) -> Command:
    """Add a command, which is ``given`` a file."""
    command = to.add_parser(name, help=gives, about=about, example=f"etch-preview {name} {example}")
    command.option(given.name, type=Path, metavar=given.metavar, help=given.help)
    command.option("--force", action="store_true", help="replace files that exist")
    return command


def _add_page(to: Commands) -> None:
    page = to.add_parser(
        "page", help="the page, in the browser",
        about="Opens the page in the browser, for this machine alone, and serves it until Ctrl+C: the way to work with "
        "pictures and sliders.",
        example="etch-preview page",
    )  # fmt: skip
    page.option("--port", type=int, metavar="N", help="port to listen at, by default 8501 or, if it is taken, another")
    page.set_defaults(run=commands.page)


def _add_render(to: Commands) -> None:
    render = _command(
        to, "render", "picture of both faces, section, numbers and report",
        "Draws both faces of the etched blade and a section through it, and writes the numbers and a report beside "
        "them: the first look at a job, and the one to keep.",
        f"{START} --out looks --px-per-mm 8",
    )  # fmt: skip
    render.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    render.option(
        "--px-per-mm", type=resolution, usual="render.px_per_mm", metavar="N", help="pixels in a millimetre, 0.5 to 60"
    )
    render.option(
        "--likely", dest="draws", type=draws, metavar="N",
        help="likely looks and bands as well, from N draws, 6 to 2000: 64 will do",
    )  # fmt: skip
    _unit_options(render)
    render.set_defaults(run=commands.render)


def _add_fields(to: Commands) -> None:
    fields = _command(
        to, "fields", "raw arrays behind the picture",
        "Writes the arrays that the picture is made from, for both faces, as one NPZ file: where each pixel lies on "
        "the blade and lay in the can, its powder, nickel, tone and normal. For work of your own on them.",
        f"{START} --px-per-mm 4 --out plain_start.npz",
    )  # fmt: skip
    fields.option("--px-per-mm", type=resolution, required=True, metavar="N", help="pixels in a millimetre, 0.5 to 60")
    fields.option("--out", type=Path, required=True, metavar="F.npz", help="file to write")
    fields.set_defaults(run=commands.fields)


def _add_trace(to: Commands) -> None:
    trace = _command(
        to, "trace", "where points of the blade lay in the can",
        "Tells for each point of the finished blade where its grain lay in the can, or the other way round, as a CSV "
        "table. For when one spot matters: a mark, an inlay, a flaw.",
        f"{START} --points points.csv",
    )  # fmt: skip
    trace.option(
        "--points", type=Path, required=True, metavar="F.csv",
        help="points in mm, one a line: along,across,through of the blade; a heading line may come first; "
        "- is standard input",
    )  # fmt: skip
    trace.option("--reverse", action="store_true", help="points are of the can: where do they go on the blade?")
    trace.option("--out", type=Path, default=commands.ASIDE, metavar="F.csv", help="file to write, or - to show it")
    trace.set_defaults(run=commands.trace)


def _add_layout(to: Commands) -> None:
    layout = _command(
        to, "layout", "what to lay in the can so that a picture shows on the face",
        "Goes back from the picture wanted on the ground face to the pattern to lay in the can, with the dividers to "
        "print, and shows how well the blade will agree. For a picture that has to land in its place.",
        f"{START} --wanted demo_patterns/fine_rain.png --face right --size 60 --out laid",
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
    layout.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    layout.set_defaults(run=commands.layout)


def _add_dividers(to: Commands) -> None:
    dividers = _command(
        to, "dividers", "dividers of the job's pattern, to print",
        "Turns the edges of the job's pattern into an insert whose walls are printed in one line, round and round, and "
        "into walls one bead wide, each as STL, 3MF, SVG and DXF; says how to print them, and what a printer or the "
        "powder cannot do about them. For a pattern that is settled.",
        f"{START} --bead 0.6 --out walls",
    )  # fmt: skip
    _printing_options(dividers)
    dividers.option("--outlined", action="store_true", help="numbers in the SVGs as outlines, which need no font")
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


def _add_fill(to: Commands) -> None:
    fill = _command(
        to, "fill", "pattern of dividers drawn elsewhere",
        "Reads dividers that you have drawn yourself (STL, 3MF, SVG or DXF), numbers the regions they hold apart, and "
        "fills them with powders: a pattern and a job to render.",
        f"{START} --dividers walls/dividers.dxf --powders 2=nickel --out filled",
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


def _add_budget(to: Commands) -> None:
    budget = _command(
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
    _unit_options(budget)
    budget.option(
        "--out", type=Path, metavar="DIR", help=f"{INTO}: budget.txt and budget.json (default: text is shown only)"
    )
    budget.set_defaults(run=commands.budget)


def _add_trials(to: Commands) -> None:
    trials = _command(
        to, "trials", "same blade at several grinds, with the order in which to go",
        "Grinds the same blade at several heights, angles or kinds, side by side with their numbers, and says in which "
        "order to go, since steel never comes back. Before the grind is settled.",
        f"{START} --heights 12,16 --out trials",
    )  # fmt: skip
    tried = trials.add_mutually_exclusive_group(required=True)
    tried.add_argument("--heights", metavar="MM,...", help="grind heights to try, mm, up to twelve")
    tried.add_argument("--angles", metavar="DEG,...", help="grind angles to try, degrees a side, up to twelve")
    trials.option(
        "--kinds", of="TrialGrinds.kinds", several=True, group=tried, metavar="KIND,...", help="kinds of grind to try"
    )
    trials.option("--face", of="TrialGrinds.face", usual="TrialGrinds.face", metavar="FACE", help="face to look at")
    _unit_options(trials)
    trials.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    trials.set_defaults(run=commands.trials)


def _add_sheet(to: Commands) -> None:
    sheet = _command(
        to, "sheet", "sheet for the client or the shop, as PDF and PNG",
        "Sets a sheet to print: for the client both faces at true size, likely looks and plain words; for the shop "
        "fill, targets hot and cold, the grind's table and templates to scribe by.",
        f'{START} --kind shop --maker "Reed & Anvil" --out sheets',
    )  # fmt: skip
    sheet.option("--kind", of="save_sheet.kind", required=True, metavar="KIND", help="whom it is for")
    sheet.option(
        "--paper", of="save_sheet.paper", usual="save_sheet.paper", metavar="PAPER", help="paper, lying on its side"
    )
    sheet.option("--maker", metavar="TEXT", help="who makes the blade")
    sheet.option("--for", dest="made_for", metavar="TEXT", help="for whom")
    sheet.option("--story", metavar="TEXT", help="what the pattern is about")
    sheet.option("--date", metavar="TEXT", help="date to print")
    _unit_options(sheet)
    sheet.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    sheet.set_defaults(run=commands.sheet)


def _add_outline(to: Commands) -> None:
    outline = to.add_parser(
        "outline", help="what is understood of a blade's outline",
        about="Draws a blade's outline at true size and says what is understood of it: edge, spine, heel, ricasso, "
        "choil, plunge, tang and tip. For a look at your own drawing (SVG or DXF), or the photo of a template on plain "
        "ground, before a job names it.",
        example=f"etch-preview outline {START} --out outline.svg",
    )  # fmt: skip
    outline.option("of", type=Path, metavar="JOB|DRAWING", help="job file (TOML), a drawing (SVG or DXF), or a photo")
    outline.option("--force", action="store_true", help="replace files that exist")
    outline.option("--length", metavar="MM", help="of a drawing: heel to tip, mm (default: as drawn)")
    outline.option("--turn", metavar="DEG", help="of a drawing: turn it counter-clockwise, degrees (default: as found)")
    outline.option("--tip-at", of="DrawnOutline.tip_at", metavar="SIDE", help="of a drawing: where its tip is")
    outline.option("--edge-at", of="DrawnOutline.edge_at", metavar="SIDE", help="of a drawing: where its edge is")
    outline.option("--ricasso", metavar="MM", help="of a drawing: unground length at the heel, mm (default: as found)")
    outline.option("--tang", metavar="MM", help="of a drawing: length behind the heel, mm (default: as found)")
    outline.option(
        "--paper", of="DrawnOutline.paper", metavar="PAPER", help="of a photo: paper that the template is on"
    )
    outline.option(
        "--ruler", type=lambda text: text.split(","), metavar="X,Y,X,Y",
        help="of a photo: two marks of a ruler, in shares of the photo from its upper left corner",
    )  # fmt: skip
    outline.option("--ruler-length", metavar="MM", help="of a photo: how far those marks are apart, mm")
    _unit_options(outline)
    outline.option("--out", type=Path, required=True, metavar="F.svg|F.png", help="picture to write")
    outline.set_defaults(run=commands.outline)


def _unit_options(command: Command) -> None:
    command.option("--inches", action="store_true", help="tell sizes in inches")
    command.option("--fahrenheit", action="store_true", help="tell heats in °F")


def _add_calibrate(to: Commands) -> None:
    calibrate = _command(
        to, "calibrate", "spread, friction and tones of your own forge",
        "Learns how your own forge and etch behave, from caliper readings or marks on an etched section or face, and "
        "from the photo of an etched coupon: a calibration file for your jobs to name.",
        f"{START} --readings readings.csv --out forge.toml",
    )  # fmt: skip
    calibrate.option("--readings", type=Path, metavar="F.csv", help="caliper readings, mm, a row for each pass")
    calibrate.option("--marks", type=Path, metavar="F.csv", help="marks seen on an etched section or face, mm or px")
    calibrate.option("--ruler", type=Path, metavar="F.csv", help="points of known place on the marks' photo, px and mm")
    calibrate.option("--coupon", type=Path, metavar="PHOTO", help="photo of an etched coupon")
    for zone in ("bright", "dark", "card"):
        calibrate.option(
            f"--{zone}", metavar="L,T,R,B", help=f"the {zone} region of it, in shares of its sides, 0 to 1"
        )
    calibrate.option(
        "--card-lightness", type=float, usual="learn.card_lightness", metavar="L*", help="of the card, 0 to 100"
    )
    calibrate.option("--out", type=Path, required=True, metavar="F.toml", help="calibration file to write")
    calibrate.set_defaults(run=commands.calibrate)


def _add_pack(to: Commands) -> None:
    pack = _command(
        to, "pack", "job with all its files in one",
        "Packs the job with its pattern picture and all else that it names into one ZIP file, the same bytes for the "
        "same job. To keep a job, to send it, or to open it on the page of another machine.",
        f"{START} --out plain_start.zip",
    )  # fmt: skip
    pack.option("--out", type=Path, required=True, metavar="F.zip", help="file to write")
    pack.set_defaults(run=commands.pack)


def _add_sketch(to: Commands) -> None:
    sketch = _command(
        to, "sketch", "clean pattern from a photographed drawing",
        "Makes the photo or scan of a drawing on paper into a clean pattern picture: laid straight, evenly lit, "
        "without ruled lines, in two tones. For a pattern that is drawn by hand.",
        "demo_patterns/reed_sketch.jpg --width 60 --svg --out reed.png",
        Given("photo", "PHOTO", "photo or scan of the drawing"),
    )  # fmt: skip
    sketch.option("--out", type=Path, required=True, metavar="PATTERN.png", help="picture to write")
    sketch.option("--svg", action="store_true", help="outlines as SVG beside it, at true size")
    sketch.option("--width", usual="Sketch.width", metavar="MM", help="width of the pattern, mm; its height follows")
    sketch.option("--swap", action="store_true", help="what is drawn dark stays bright, the paper dark")
    sketch.option("--fill", action="store_true", help="fill closed outlines")
    sketch.option("--smallest", usual="Sketch.smallest", metavar="MM", help="what is narrower than this goes, mm")
    sketch.option("--smooth", usual="Sketch.smooth", metavar="MM", help="width over which edges are evened out, mm")
    sketch.option("--pale", metavar="SHARE", help="how dark counts as drawn, 0 to 1 (default: found)")
    sketch.option(
        "--corners", type=listed, metavar="X,Y,...",
        help="the sheet's corners in shares of the photo, from the upper left clockwise (default: found)",
    )  # fmt: skip
    sketch.option("--crop", type=listed, metavar="L,T,R,B", help="what of the sheet is taken, in shares (default: all)")
    sketch.set_defaults(run=commands.sketch)
