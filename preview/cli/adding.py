"""What the commands have in common: the file that they are given, where they write, the units that they tell."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NamedTuple, TypeAlias

from preview.cli.parsing import Command

Commands: TypeAlias = "argparse._SubParsersAction[Command]"

START = "demo_patterns/plain_start.toml"


class Given(NamedTuple):
    """The file that a command is given."""

    name: str
    metavar: str
    help: str


JOB = Given("job", "JOB", "job file (TOML)")
INTO = "folder to write into, made where it is missing"


def command(to: Commands, name: str, gives: str, about: str, example: str, given: Given = JOB) -> Command:
    """Add a command, which is ``given`` a file."""
    made = to.add_parser(name, help=gives, about=about, example=f"etch-preview {name} {example}")
    made.option(given.name, type=Path, metavar=given.metavar, help=given.help)
    made.option("--force", action="store_true", help="replace files that exist")
    return made


def unit_options(command: Command) -> None:
    """Add the units that a command tells sizes and heats in."""
    command.option("--inches", action="store_true", help="tell sizes in inches")
    command.option("--fahrenheit", action="store_true", help="tell heats in °F")
