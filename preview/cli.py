"""The command line: ``etch-preview`` or ``python -m preview``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from preview.errors import PreviewError

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
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, does: str
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=does, description=f"Give the {does}.", epilog=EPILOG)
    command.add_argument("job", type=Path, metavar="JOB", help="job file (TOML)")
    command.add_argument("--force", action="store_true", help="replace files that exist")
    return command


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
