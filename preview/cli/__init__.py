"""The command line: ``etch-preview`` or ``python -m preview``."""

from __future__ import annotations

import io
import logging
import sys
import warnings
from collections.abc import Sequence

from preview.cli import commands
from preview.cli.bar import progress
from preview.cli.grammar import parser
from preview.cli.memory import keep_memory

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code: 0, or 2 with a line on standard error for each fault."""
    _calm()
    options = parser().parse_args(arguments)
    from preview import PreviewError  # not for help, which is to come at once

    if arguments is None and options.run is not commands.page:  # the page stays for days, as whoever else calls may
        keep_memory()
    try:
        with progress():
            options.run(options)
    except PreviewError as error:
        print(error, file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    return 0


def _calm() -> None:
    """Keep off the terminal what libraries say among themselves, and let any name be shown there."""
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
    logging.lastResort = logging.NullHandler()
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
