"""Caliper readings at the anvil: a table, a row for each pass, cold once it is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from preview.base.errors import Fault, FileError, RequestError
from preview.base.settings import LENGTH_UNITS, TEMPERATURE_UNITS, quantity
from preview.base.tables import read_rows
from preview.forging.expansion import cold_size

SIZES = ("length", "width_face", "width_mid", "thickness")
COLUMNS = (*(f"{size}_before" for size in SIZES), *(f"{size}_after" for size in SIZES), "bite", "temperature")
"""The table's columns: sizes in mm before and after the pass, the bite in mm, and, if the sizes were read hot, the
steel's temperature in degrees Celsius. ``width_face`` is read where the dies touch, ``width_mid`` at mid-height."""

NEEDED = ("thickness_before", "thickness_after", "bite")

VOLUME_SLACK = 0.06
"""Share by which volume may seem to change over a pass before the row is refused: scale and bulged ends."""


@dataclass(frozen=True)
class Size:
    """A bar's sizes, mm, cold; None where they were not read."""

    thickness: float
    length: float | None = None
    width_face: float | None = None
    width_mid: float | None = None

    @property
    def width(self) -> float | None:
        """Mean width, mm: of a parabolic bulge by Simpson's rule, or the one width that was read."""
        if self.width_face is not None and self.width_mid is not None:
            return (self.width_face + 2 * self.width_mid) / 3
        return self.width_mid if self.width_face is None else self.width_face


@dataclass(frozen=True)
class Reading:
    """One pass: the bar before and after, and the bite, mm, cold."""

    before: Size
    after: Size
    bite: float


def read_readings(path: Path) -> tuple[Reading, ...]:
    """Read a CSV table with the columns of `COLUMNS`; cells may be empty, columns left out.

    Raises
    ------
    FileError
        If the file cannot be read or has no such table.
    RequestError
        With every row that is impossible, by its number.
    """
    rows = read_rows(path)
    unknown = [str(name) for name in rows[0] if name not in (*COLUMNS, "pass")]
    missing = [name for name in NEEDED if name not in rows[0]]
    if unknown or missing:
        found = "; ".join(
            f"{word} column {', '.join(names)}" for word, names in (("unknown", unknown), ("missing", missing)) if names
        )
        msg = f"{path}: {found}; known: {', '.join(COLUMNS)}"
        raise FileError(msg)
    return make_readings(rows)


def make_readings(rows: Iterable[Mapping[str, Any]]) -> tuple[Reading, ...]:
    """Make readings of rows of cells (text, numbers, or empty where not read); `RequestError` holds every fault."""
    readings, faults = [], []
    for number, row in enumerate(rows, start=1):
        try:
            readings.append(_reading(row))
        except ValueError as error:
            faults.append(Fault(f"row {number}", str(error)))
    if faults:
        raise RequestError(faults)
    if not readings:
        raise RequestError.at("readings", "at least one row is needed")
    return tuple(readings)


def _cell(row: Mapping[str, Any], name: str) -> float | None:
    cell = row.get(name)
    if cell is None or (isinstance(cell, str) and not cell.strip()) or cell != cell:
        return None
    try:
        value = float(quantity(cell, TEMPERATURE_UNITS if name == "temperature" else LENGTH_UNITS))
    except (ValueError, TypeError):
        msg = f"{name}: a number is needed; given {cell!r}"
        raise ValueError(msg) from None
    if not isfinite(value) or value <= 0:
        msg = f"{name}: a number over 0 is needed; given {cell!r}"
        raise ValueError(msg)
    return value


def _reading(row: Mapping[str, Any]) -> Reading:
    cells = {name: _cell(row, name) for name in COLUMNS}
    for name in NEEDED:
        if cells[name] is None:
            msg = f"{name}: is needed and empty"
            raise ValueError(msg)
    temperature, bite = cells["temperature"], cells["bite"]
    sizes = {}
    for when in ("before", "after"):
        read = {size: cells[f"{size}_{when}"] for size in SIZES}
        cold = {size: cold_size(value, temperature) if value and temperature else value for size, value in read.items()}
        sizes[when] = Size(cold["thickness"] or 0.0, cold["length"], cold["width_face"], cold["width_mid"])
    before, after = sizes["before"], sizes["after"]
    if after.thickness >= before.thickness:
        msg = f"thickness_after: has to be under thickness_before; given {after.thickness:g} after {before.thickness:g}"
        raise ValueError(msg)
    if before.width is None:
        msg = "width_face_before or width_mid_before: one at least is needed"
        raise ValueError(msg)
    if after.width is None and (after.length is None or before.length is None):
        msg = "neither a width after nor both lengths are given; the row says nothing"
        raise ValueError(msg)
    if after.width and after.length and before.length:
        ratio = after.thickness * after.width * after.length / (before.thickness * before.width * before.length)
        if abs(ratio - 1) > VOLUME_SLACK:
            msg = f"volume changes by {ratio - 1:+.1%}; at most {VOLUME_SLACK:.0%} can be: is a size misread?"
            raise ValueError(msg)
    return Reading(before, after, bite or 0.0)
