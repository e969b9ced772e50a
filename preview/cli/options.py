"""What several commands share: the file they are given, and options of the same meaning."""

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
    added = to.add_parser(name, help=gives, about=about, example=f"etch-preview {name} {example}")
    added.option(given.name, type=Path, metavar=given.metavar, help=given.help)
    added.option("--force", action="store_true", help="replace files that exist")
    return added


def size_options(to: Command) -> None:
    """Let lengths be told in inches."""
    to.option("--inches", action="store_true", help="tell sizes in inches")


def unit_options(to: Command) -> None:
    """Let lengths be told in inches, heats in Fahrenheit."""
    size_options(to)
    to.option("--fahrenheit", action="store_true", help="tell heats in °F")
