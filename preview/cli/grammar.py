"""The commands, in the order in which they are listed."""

from __future__ import annotations

import argparse
from pathlib import Path

from preview.cli import commands
from preview.cli.of_blade import add_fields, add_place, add_render, add_sheet, add_trace, add_trials, add_view
from preview.cli.of_can import add_budget, add_dividers, add_fill, add_layout
from preview.cli.of_day import add_plan
from preview.cli.of_own import add_calibrate, add_log, add_match, add_outline, add_pack, add_sketch
from preview.cli.options import Commands
from preview.cli.parsing import EPILOG, Command, Completion, Parser, Version


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
        add_page, add_render, add_view, add_fields, add_trace, add_layout, add_dividers, add_fill, add_budget,
        add_plan, add_trials, add_place, add_sheet, add_calibrate, add_match, add_log, add_sketch, add_outline,
        add_pack,
    ):  # fmt: skip
        add(to)
    return whole


def add_page(to: Commands) -> None:
    """Add `page`."""
    page = to.add_parser(
        "page", help="the page, in the browser",
        about="Opens the page in the browser, for this machine alone, and serves it until Ctrl+C: the way to work with "
        "pictures and sliders.",
        example="etch-preview page",
    )  # fmt: skip
    page.option("--port", type=int, metavar="N", help="port to listen at, by default 8501 or, if it is taken, another")
    page.option(
        "--network", action="store_true",
        help="let other machines reach it too: only in a workshop's own network that you trust, since nothing is "
        "encrypted and no password is asked",
    )  # fmt: skip
    page.option(
        "--log", type=Path, metavar="LOG", help="folder of your blade log (default: kept with the work on the page)"
    )
    page.set_defaults(run=commands.page)
