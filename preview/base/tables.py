"""CSV tables with a heading line."""

from __future__ import annotations

import csv
from pathlib import Path

from preview.base.errors import FileError

LARGEST_FILE = 1_000_000


def read_rows(path: Path) -> list[dict[str, str]]:
    """Return a table's rows, each by the names in its heading line; raise `FileError` where there is none to read."""
    try:
        if path.stat().st_size > LARGEST_FILE:
            msg = f"{path}: a file of over 1 MB is no table of readings"
            raise FileError(msg)
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows = list(csv.DictReader(file, strict=True))
    except FileNotFoundError:
        msg = f"{path}: there is no such file"
        raise FileError(msg) from None
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        msg = f"{path}: cannot be read as a CSV table ({error})"
        raise FileError(msg) from None
    if not rows:
        msg = f"{path}: there are no rows in it; a heading line and a row for each reading are needed"
        raise FileError(msg)
    return rows
