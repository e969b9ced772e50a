"""Caliper readings at the anvil: a table, a row for each pass, cold once it is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from preview.base.errors import Fault, FileError, RequestError
from preview.base.settings import LENGTH_UNITS, TEMPERATURE_UNITS, quantity
from preview.base.spreadsheets import typed, with_point
from preview.base.tables import HEAD_UNITS, read_rows
from preview.base.units import METRIC, Units, mm, say
from preview.base.words import brief
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
    """Read a table with the columns of `COLUMNS`; cells may be empty, columns left out, heads may name units.

    Raises
    ------
    FileError
        If the file cannot be read or has no such table.
    RequestError
        With every row that is impossible, by its number.
    """
    table = read_rows(path)
    unknown = [brief(name)[1:-1] for name in table.rows[0] if name not in (*COLUMNS, "pass")]
    missing = [name for name in NEEDED if name not in table.rows[0]]
    if unknown or missing:
        found = "; ".join(
            f"{word} column {', '.join(names)}" for word, names in (("unknown", unknown), ("missing", missing)) if names
        )
        msg = f"{path}: {found}; known: {', '.join(COLUMNS)}"
        raise FileError(msg)
    for name, unit in table.units.items():
        known = ("c", "f") if name == "temperature" else ("mm", "in", "inch", "inches")
        if name in COLUMNS and unit not in known:
            msg = f"{path}: column {name} is in {' or '.join(known[:2])}; its head says {unit}"
            raise FileError(msg)
    return make_readings(table.rows, heads={name: HEAD_UNITS[unit] for name, unit in table.units.items()})


def make_readings(
    rows: Iterable[Mapping[str, Any]], units: Units = METRIC, heads: Mapping[str, Units] | None = None
) -> tuple[Reading, ...]:
    """Make readings of rows of cells.

    Parameters
    ----------
    rows
        What was read, by the names of `COLUMNS`: numbers, text with or without a unit, or empty where it was not
        read. A row that is empty altogether is passed over.
    units
        What sizes and heats without a unit are in.
    heads
        What those of some columns are in instead.

    Raises
    ------
    RequestError
        With every fault, by its row, and its column where it is one cell's.
    """
    readings, faults = [], []
    for number, row in enumerate(rows, start=1):
        try:
            cells = {name: _cell(row, name, (heads or {}).get(name, units)) for name in COLUMNS}
            if any(cells.values()):
                readings.append(_reading(cells))
        except RequestError as error:
            faults += [
                Fault(", ".join(filter(None, (f"row {number}", each.where))), each.problem) for each in error.faults
            ]
    if faults:
        raise RequestError(faults)
    if not readings:
        raise RequestError.at("readings", "at least one row is needed")
    return tuple(readings)


def _cell(row: Mapping[str, Any], name: str, units: Units) -> float | None:
    cell = row.get(name)
    if cell is None or (isinstance(cell, str) and not cell.strip()) or cell != cell:
        return None
    known, unit = (TEMPERATURE_UNITS, "°C") if name == "temperature" else (LENGTH_UNITS, "mm")
    try:
        if isinstance(cell, str):
            number = with_point(cell)
            bare = number.rstrip()[-1].isdigit()
            value = float(quantity(f"{number} {units.name(unit)}" if bare else number, known))
        else:
            value = units.kept(float(cell), unit)
    except (ValueError, TypeError):
        raise RequestError.at(name, f"a number is needed; given {typed(cell)}") from None
    if not isfinite(value) or value <= 0:
        raise RequestError.at(name, f"a number over 0 is needed; given {typed(cell)}")
    return value


def _reading(cells: Mapping[str, float | None]) -> Reading:
    for name in NEEDED:
        if cells[name] is None:
            raise RequestError.at(name, "is needed and empty")
    temperature, bite = cells["temperature"], cells["bite"]
    sizes = {}
    for when in ("before", "after"):
        read = {size: cells[f"{size}_{when}"] for size in SIZES}
        cold = {size: cold_size(value, temperature) if value and temperature else value for size, value in read.items()}
        sizes[when] = Size(cold["thickness"] or 0.0, cold["length"], cold["width_face"], cold["width_mid"])
    before, after = sizes["before"], sizes["after"]
    if after.thickness >= before.thickness:
        given = mm(after.thickness, form="g"), mm(before.thickness, form="g")
        raise RequestError.at("thickness_after", say("has to be under what it was before; given {} after {}", *given))
    if before.width is None:
        raise RequestError.at("width_face_before", "a width before is needed, at the face or at mid-height")
    if after.width is None and (after.length is None or before.length is None):
        raise RequestError.at("", "neither a width after nor both lengths are given; the row says nothing")
    if after.width and after.length and before.length:
        ratio = after.thickness * after.width * after.length / (before.thickness * before.width * before.length)
        if abs(ratio - 1) > VOLUME_SLACK:
            problem = f"volume changes by {ratio - 1:+.1%}; at most {VOLUME_SLACK:.0%} can be: is a size misread?"
            raise RequestError.at("", problem)
    return Reading(before, after, bite or 0.0)
