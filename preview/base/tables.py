"""Tables of numbers under a heading line, and points, as CSV or out of a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.settings import LENGTH_UNITS
from preview.base.spreadsheets import Cell, cells_of, number_of, read_cells, typed
from preview.base.words import brief

LARGEST_TABLE, LARGEST_POINTS = 1_000_000, 100_000_000
"""Bytes of a table of readings, and of a list of points, which may hold a whole scan."""

BLADE = ("along", "across", "through")
CAN = ("can_along", "can_across", "can_up")

_HEAD = re.compile(r"(.*?)(?:[\s_,]*[(\[]\s*|[\s_,]+)(mm|cm|in|inch|inches|°?c|°?f|px|g|kg|oz|lb)\s*[)\]]?", re.DOTALL)


@dataclass(frozen=True)
class Table:
    """Rows of cells by the names of their columns, and the units of the columns whose heads name one."""

    rows: tuple[dict[str, Cell], ...]
    units: dict[str, str]


def read_rows(path: Path) -> Table:
    """Return a table with its heads; raise `FileError` where there is none to read.

    A head may name the unit of its column, as in ``bite (in)`` or ``temperature_F``; letters may be small or large.
    """
    rows = [row for row in read_cells(path, LARGEST_TABLE, "a CSV table") if any(str(cell).strip() for cell in row)]
    if len(rows) < 2:
        msg = f"{path}: there are no rows in it; a heading line and a row for each reading are needed"
        raise FileError(msg)
    heads = [head_of(str(cell)) for cell in rows[0]]
    for number, row in enumerate(rows[1:], start=1):
        if any(str(cell).strip() for cell in row[len(heads) :]):
            msg = f"{path}: row {number}: {len(row)} cells, and the heading line has {len(heads)}"
            raise FileError(msg)
    names = [name for name, _ in heads]
    if len(set(filter(None, names))) < len(list(filter(None, names))):
        msg = f"{path}: the heading line names a column twice: {brief(', '.join(names))}"
        raise FileError(msg)
    return Table(
        tuple({name: cell for name, cell in zip(names, row, strict=False) if name} for row in rows[1:]),
        {name: unit for name, unit in heads if unit},
    )


def head_of(text: str) -> tuple[str, str]:
    """Return a head's name and the unit in it, if it names one.

    Examples
    --------
    >>> head_of("Bite (in)"), head_of("temperature_°F"), head_of("can_up"), head_of("Width mid after, mm")
    (('bite', 'in'), ('temperature', 'f'), ('can_up', ''), ('width_mid_after', 'mm'))
    """
    small = text.strip().lower()
    found = _HEAD.fullmatch(small)
    name, unit = (found[1], found[2].removeprefix("°").replace("inches", "in")) if found else (small, "")
    return re.sub(r"[\s-]+", "_", name.strip(" _,")), unit


def sized(cells: Iterable[Cell], units: Iterable[str]) -> list[float]:
    """Return the numbers in cells, mm by the units of their heads, as they are where these name none, or pixels.

    Raises
    ------
    ValueError
        If one is no finite number, or a head names no unit of length.
    """
    numbers = [number_of(cell) * _scale(unit) for cell, unit in zip(cells, units, strict=True)]
    if not np.isfinite(numbers).all():
        raise ValueError("a number is needed")
    return numbers


def _scale(unit: str) -> float:
    if unit in {"", "px"}:
        return 1.0
    if unit not in LENGTH_UNITS:
        raise ValueError("a head in mm or in is needed")
    return float(LENGTH_UNITS[unit](Fraction(1)))


def read_points(path: Path) -> Array:
    """Read points from a CSV file or a spreadsheet; see `parse_points`."""
    return _points(read_cells(path, LARGEST_POINTS, "a CSV table of points"), str(path))


def parse_points(text: str, source: str) -> Array:
    """Return points (n, 3) in mm from CSV text of three columns; a heading line, which may name units, may come first.

    Raises
    ------
    FileError
        If a line does not hold three finite numbers, with its number and its ``source``.
    """
    return _points(cells_of(text, source), source)


def _points(rows: Iterable[list[Cell]], source: str) -> Array:
    points: list[list[float]] = []
    units = [""] * 3
    for number, row in enumerate(rows, start=1):
        if not any(str(cell).strip() for cell in row):
            continue
        if not points and not any(character.isdigit() for cell in row for character in str(cell)):
            units = [head_of(str(cell))[1] for cell in row]
            continue
        try:
            if len(row) != 3 or len(units) != 3:
                raise ValueError("three numbers are needed")
            points.append(sized(row, units))
        except ValueError:
            msg = (
                f"{source}: line {number}: three numbers (along, across, through; mm) are needed; given {_quoted(row)}"
            )
            raise FileError(msg) from None
    if not points:
        msg = f"{source}: there are no points in it"
        raise FileError(msg)
    return np.array(points)


def _quoted(row: list[Cell]) -> str:
    between = "; " if len(row) > 1 and any("," in str(cell) for cell in row) else ","
    return brief(between.join(cell if isinstance(cell, str) else typed(cell) for cell in row))


def format_points(given: Array, found: Array, *, reverse: bool) -> str:
    """Return given and found points (n, 3) side by side as CSV text; cells are empty for points off the metal."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow((*CAN, *BLADE) if reverse else (*BLADE, *CAN))
    for point, answer in zip(given, found, strict=True):
        cells = ["" if np.isnan(value) else f"{value:.6f}" for value in answer]
        writer.writerow([*(f"{value:.6f}" for value in point), *cells])
    return stream.getvalue()
