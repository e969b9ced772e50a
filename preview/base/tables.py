"""Tables as CSV: rows under a heading line, and points."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.files import read_text
from preview.base.words import brief

LARGEST_TABLE, LARGEST_POINTS = 1_000_000, 100_000_000
"""Bytes of a table of readings, and of a list of points, which may hold a whole scan."""

BLADE = ("along", "across", "through")
CAN = ("can_along", "can_across", "can_up")


def read_rows(path: Path) -> list[dict[str, str]]:
    """Return a table's rows, each by the names in its heading line; raise `FileError` where there is none to read."""
    text = read_text(path, LARGEST_TABLE, "a CSV table")
    try:
        rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        msg = f"{path}: cannot be read as a CSV table ({error})"
        raise FileError(msg) from None
    if not rows:
        msg = f"{path}: there are no rows in it; a heading line and a row for each reading are needed"
        raise FileError(msg)
    return rows


def read_points(path: Path) -> Array:
    """Read points from a CSV file; see `parse_points`."""
    return parse_points(read_text(path, LARGEST_POINTS, "a CSV table of points"), str(path))


def parse_points(text: str, source: str) -> Array:
    """Return points (n, 3) in mm from CSV text of three columns; a heading line may come first.

    Raises
    ------
    FileError
        If a line does not hold three finite numbers, with its number and its ``source``.
    """
    points = []
    for number, row in enumerate(_cells(text, source), start=1):
        if not row or (number == 1 and not any(character.isdigit() for character in "".join(row))):
            continue
        try:
            point = [float(cell) for cell in row[:3]]
        except ValueError:
            point = []
        if len(row) != 3 or len(point) != 3 or not np.isfinite(point).all():
            msg = (
                f"{source}: line {number}: three numbers (along, across, through; mm) are needed; "
                f"given {brief(','.join(row))}"
            )
            raise FileError(msg)
        points.append(point)
    if not points:
        msg = f"{source}: there are no points in it"
        raise FileError(msg)
    return np.array(points)


def _cells(text: str, source: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(text.splitlines())
    except csv.Error as error:
        msg = f"{source}: cannot be read as a CSV table of points ({error})"
        raise FileError(msg) from None


def format_points(given: Array, found: Array, *, reverse: bool) -> str:
    """Return given and found points (n, 3) side by side as CSV text; cells are empty for points off the metal."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow((*CAN, *BLADE) if reverse else (*BLADE, *CAN))
    for point, answer in zip(given, found, strict=True):
        cells = ["" if np.isnan(value) else f"{value:.6f}" for value in answer]
        writer.writerow([*(f"{value:.6f}" for value in point), *cells])
    return stream.getvalue()
