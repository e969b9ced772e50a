"""The command line: ``etch-preview`` or ``python -m preview``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from preview.base.errors import PreviewError

if TYPE_CHECKING:
    from preview import Printing, Units

EPILOG = "Exit code 0, or 2 with one clear line for each fault. Files that exist are kept unless --force is given."


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code: 0, or 2 with a line on standard error for each fault."""
    options = _parser().parse_args(arguments)
    try:
        options.run(options)
    except PreviewError as error:
        print(error, file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="etch-preview",
        description="See the etched pattern of a two-powder mosaic blade before the can is welded, forged and ground.",
        epilog=EPILOG,
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    render = _command(commands, "render", "picture of both faces, section, numbers and report into a folder")
    render.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    render.add_argument("--px-per-mm", type=_resolution, default=16.0, metavar="N", help="resolution (default 16)")
    render.add_argument(
        "--likely",
        type=_draws,
        default=0,
        metavar="N",
        help="likely looks and bands as well, from N draws (64 is usual)",
    )
    render.set_defaults(run=_render)

    fields = _command(commands, "fields", "the raw arrays behind the picture, as an NPZ file")
    fields.add_argument("--px-per-mm", type=_resolution, required=True, metavar="N", help="resolution")
    fields.add_argument("--out", type=Path, required=True, metavar="F.npz", help="file to write")
    fields.set_defaults(run=_fields)

    trace = _command(commands, "trace", "where points of the blade lay in the can, as CSV")
    trace.add_argument(
        "--points", type=Path, required=True, metavar="F.csv",
        help="points in mm, one a line: along,across,through of the blade (a heading line may come first)",
    )  # fmt: skip
    trace.add_argument("--reverse", action="store_true", help="points are of the can: where do they go on the blade?")
    trace.add_argument("--out", type=Path, metavar="F.csv", help="file to write (default: standard output)")
    trace.set_defaults(run=_trace)
    calibrate = _command(commands, "calibrate", "spread, friction and tones of your own forge, as a calibration file")
    calibrate.add_argument("--readings", type=Path, metavar="F.csv", help="caliper readings, a row for each pass")
    calibrate.add_argument("--marks", type=Path, metavar="F.csv", help="marks seen on an etched section or face")
    calibrate.add_argument("--ruler", type=Path, metavar="F.csv", help="points of known place on the marks' photo")
    calibrate.add_argument("--coupon", type=Path, metavar="PHOTO", help="photo of an etched coupon")
    for zone in ("bright", "dark", "card"):
        calibrate.add_argument(
            f"--{zone}", metavar="L,T,R,B", help=f"the {zone} region of that photo, in shares of its sides"
        )
    calibrate.add_argument("--card-lightness", type=float, default=50.0, metavar="L*", help="of the card (default 50)")
    calibrate.add_argument("--out", type=Path, required=True, metavar="F.toml", help="calibration file to write")
    calibrate.set_defaults(run=_calibrate)

    layout = _command(commands, "layout", "layout of the can so that a picture shows on the face, with divider files")
    layout.add_argument("--wanted", type=Path, required=True, metavar="ART.png", help="picture wanted on the face")
    layout.add_argument("--face", choices=("right", "left", "both"), default="right", help="face it is wanted on")
    layout.add_argument("--at", metavar="ALONG,ACROSS", help="its middle on the blade, mm (default: the blade's)")
    layout.add_argument("--size", metavar="W[,H]", help="its size, mm (default: as large as the blade lets it be)")
    layout.add_argument("--turn", default="0", metavar="DEG", help="turn it counter-clockwise")
    _printing_options(layout)
    layout.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    layout.set_defaults(run=_layout)

    dividers = _command(commands, "dividers", "dividers of the job's pattern, as STL, 3MF, SVG and DXF")
    _printing_options(dividers)
    dividers.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    dividers.set_defaults(run=_dividers)

    fill = _command(commands, "fill", "pattern of dividers drawn elsewhere (STL, 3MF, SVG or DXF)")
    fill.add_argument("--dividers", type=Path, required=True, metavar="FILE", help="the drawing or solid")
    fill.add_argument(
        "--powders", default="", metavar="N=POWDER,...", help="which region holds which powder; others hold the first"
    )
    fill.add_argument("--unit", choices=("mm", "inch"), default="mm", help="of a file that states none (default mm)")
    fill.add_argument(
        "--cut", type=_amount, metavar="MM", help="height over its foot at which a solid is cut (default half way)"
    )
    fill.add_argument("--walls", choices=("lines", "outlines"), help="how a flat drawing shows walls (default: judged)")
    fill.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    fill.set_defaults(run=_fill)

    trials = _command(commands, "trials", "same blade at several grinds, with the order in which to go")
    listed = trials.add_mutually_exclusive_group(required=True)
    listed.add_argument("--heights", metavar="MM,...", help="grind heights to try, up to twelve")
    listed.add_argument("--angles", metavar="DEG,...", help="grind angles to try, degrees a side")
    listed.add_argument("--kinds", metavar="KIND,...", help="kinds of grind to try, by their names in a job file")
    trials.add_argument("--face", choices=("right", "left"), default="right", help="face to look at")
    trials.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    trials.set_defaults(run=_trials)

    sheet = _command(commands, "sheet", "sheet for the client or the shop, as PDF and PNG")
    sheet.add_argument("--kind", choices=("client", "shop"), required=True, help="whom it is for")
    sheet.add_argument("--paper", choices=("a4", "letter", "a3", "tabloid"), default="a4", help="paper, landscape")
    sheet.add_argument("--maker", default="", metavar="TEXT", help="who makes the blade")
    sheet.add_argument("--for", dest="made_for", default="", metavar="TEXT", help="for whom")
    sheet.add_argument("--story", default="", metavar="TEXT", help="what the pattern is about")
    sheet.add_argument("--date", default="", metavar="TEXT", help="date to print")
    _unit_options(sheet)
    sheet.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write into")
    sheet.set_defaults(run=_sheet)

    budget = _command(commands, "budget", "powder, bar sizes hot and cold, losses, and can size needed")
    budget.add_argument(
        "--margin", type=_amount, default=10.0, metavar="MM", help="bar wanted beyond each end (default 10)"
    )
    budget.add_argument(
        "--read-at", type=_amount, default=1000.0, metavar="C", help="temperature of hot sizes, °C (default 1000)"
    )
    budget.add_argument(
        "--bead", type=_amount, default=0.4, metavar="MM", help="walls; 0 if drawn out again (default 0.4)"
    )
    _unit_options(budget)
    budget.add_argument("--out", type=Path, metavar="DIR", help="folder for budget.txt and budget.json")
    budget.set_defaults(run=_budget)
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, does: str
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=does, description=f"Give the {does}.", epilog=EPILOG)
    command.add_argument("job", type=Path, metavar="JOB", help="job file (TOML)")
    command.add_argument("--force", action="store_true", help="replace files that exist")
    return command


def _printing_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--bead", default="0.4", metavar="MM", help="width of a printed wall (default 0.4)")
    command.add_argument("--tolerance", default="0.1", metavar="MM", help="how far walls may stray (default 0.1)")
    command.add_argument("--height", metavar="MM", help="height of the walls (default: the fill's depth)")
    command.add_argument("--bed", default="220,220,250", metavar="W,D,H", help="printer's room (default 220,220,250)")


def _unit_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--inches", action="store_true", help="tell sizes in inches")
    command.add_argument("--fahrenheit", action="store_true", help="tell heats in °F")


def _resolution(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not 0.5 <= value <= 60:
        msg = f"a number of pixels per millimetre from 0.5 to 60 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return value


def _draws(text: str) -> int:
    if not text.isdecimal() or not 6 <= int(text) <= 2000:
        msg = f"a whole number of draws from 6 to 2000 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return int(text)


def _render(options: argparse.Namespace) -> None:
    from preview import load_job, render

    for path in render(
        load_job(options.job), options.out, px_per_mm=options.px_per_mm, draws=options.likely, force=options.force
    ):
        print(path)


def _fields(options: argparse.Namespace) -> None:
    from preview import load_job, save_fields

    save_fields(load_job(options.job), options.px_per_mm, options.out, force=options.force)
    print(options.out)


def _calibrate(options: argparse.Namespace) -> None:
    from preview import learn, load_job, parse_box, save_calibration

    boxes = {zone: parse_box(text) for zone in ("bright", "dark", "card") if (text := getattr(options, zone))}
    learnt = learn(
        load_job(options.job),
        readings=options.readings,
        marks=options.marks,
        ruler=options.ruler,
        coupon=options.coupon,
        boxes=boxes,
        card_lightness=options.card_lightness,
        date=date.today().isoformat(),
    )
    save_calibration(learnt.calibration, options.out, force=options.force)
    for word in learnt.words:
        print(word)
    if learnt.fit is not None:
        print(f"{'row':>3}  {'reading':<12} {'measured less fitted, mm':>24}")
        for each in learnt.fit.residuals:
            print(f"{each.row:>3}  {each.quantity.replace('_', ' '):<12} {each.off:>24.2f}")
    print(options.out)


def _trace(options: argparse.Namespace) -> None:
    from preview import load_job, save_text, trace_table

    text = trace_table(load_job(options.job), options.points, reverse=options.reverse)
    if options.out is None:
        sys.stdout.write(text)
    else:
        save_text(text, options.out, force=options.force)


def _parts(text: str | None) -> str | list[str] | None:
    """Return text with commas as a list, other text as it is."""
    return text.split(",") if text and "," in text else text


def _amount(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value < 10_000:
        msg = f"a number of at least 0 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return value


def _units(options: argparse.Namespace) -> Units:
    from preview import Units

    return Units(sizes="inch" if options.inches else "mm", heats="°F" if options.fahrenheit else "°C")


def _printing(options: argparse.Namespace) -> Printing:
    from preview import make_printing

    return make_printing(
        {"bead": options.bead, "tolerance": options.tolerance, "height": options.height, "bed": _parts(options.bed)}
    )


def _layout(options: argparse.Namespace) -> None:
    from preview import lay_out, load_job, make_wanted, save_layout

    place = {"at": _parts(options.at), "size": _parts(options.size), "turn": options.turn}
    wanted = make_wanted({"picture": options.wanted, "face": options.face, **place})
    layout = lay_out(load_job(options.job), wanted)
    for path in save_layout(layout, wanted, options.out, printing=_printing(options), force=options.force):
        print(path)
    sys.stdout.write((options.out / "layout.txt").read_text(encoding="utf-8"))


def _dividers(options: argparse.Namespace) -> None:
    from preview import load_job, save_dividers

    for path in save_dividers(load_job(options.job), options.out, printing=_printing(options), force=options.force):
        print(path)
    sys.stdout.write((options.out / "dividers.txt").read_text(encoding="utf-8"))


def _fill(options: argparse.Namespace) -> None:
    from preview import load_job, parse_fill, read_regions, save_filled

    job = load_job(options.job)
    regions = read_regions(
        options.dividers, job.pattern_area, unit=options.unit, height=options.cut, walls=options.walls
    )
    for path in save_filled(job, regions, parse_fill(options.powders), options.out, force=options.force):
        print(path)
    print(f"{len(regions.polygons)} regions, numbered in regions.png; {' '.join(regions.notes)}")


def _budget(options: argparse.Namespace) -> None:
    from preview import load_job, save_budget, weigh, whole_budget

    job, units = load_job(options.job), _units(options)
    found = weigh(job, bead=options.bead, margin=options.margin, read_at=options.read_at)
    if options.out is not None:
        for path in save_budget(job, found, options.out, units=units, force=options.force):
            print(path)
    sys.stdout.write(whole_budget(job, found, units))


def _trials(options: argparse.Namespace) -> None:
    from preview import load_job, make_trial_grinds, save_trials

    lists = {name: text.split(",") for name in ("heights", "angles", "kinds") if (text := getattr(options, name))}
    grinds = make_trial_grinds({**lists, "face": options.face})
    for path in save_trials(load_job(options.job), grinds, options.out, force=options.force):
        print(path)
    sys.stdout.write((options.out / "trials.txt").read_text(encoding="utf-8"))


def _sheet(options: argparse.Namespace) -> None:
    from preview import load_job, make_sheet_words, save_sheet

    words = make_sheet_words({name: getattr(options, name) for name in ("maker", "made_for", "story", "date")})
    job, units, paper = load_job(options.job), _units(options), options.paper
    for path in save_sheet(job, options.kind, options.out, words=words, paper=paper, units=units, force=options.force):
        print(path)
