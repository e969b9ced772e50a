"""Readings at scales and anvil: a table with a row for each pass, and cells for the can; cold once they are read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from preview.base.errors import Fault, FileError, RequestError
from preview.base.settings import LARGEST, LENGTH_UNITS, TEMPERATURE_UNITS, WEIGHT_UNITS, quantity
from preview.base.spreadsheets import Cell, typed, with_point
from preview.base.tables import read_rows
from preview.base.units import METRIC, Units, mm, say
from preview.base.words import brief
from preview.forging.expansion import cold_size

SIZES = ("length", "width_face", "width_mid", "thickness")
COLUMNS = (*(f"{size}_before" for size in SIZES), *(f"{size}_after" for size in SIZES), "bite", "temperature")
"""The table's columns: sizes in mm before and after the pass, the bite in mm, and, if the sizes were read hot, the
steel's temperature in degrees Celsius. ``width_face`` is read where the dies touch, ``width_mid`` at mid-height."""

CAN_COLUMNS = ("powder_weight", "welded_length", "welded_width", "welded_thickness", "scale_weight")
"""Columns for the can, in any row: the powder filled in, g; outside sizes once it is welded and clean of scale, mm;
what it lost to scale until then, g."""

NEEDED = ("thickness_before", "thickness_after", "bite")

SHRUNK = 0.02
"""Share by which a length or a width may seem to shrink under the dies before the row is refused: caliper and
scale."""

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


@dataclass(frozen=True)
class CanReading:
    """What was weighed and measured of a can: g and mm, cold; None where it was not."""

    powder_weight: float | None = None
    welded_length: float | None = None
    welded_width: float | None = None
    welded_thickness: float | None = None
    scale_weight: float | None = None


def read_table(path: Path) -> list[dict[str, Cell]]:
    """Read a table with the columns of `COLUMNS` and `CAN_COLUMNS`; cells may be empty, columns left out.

    Where a head names a unit, the numbers below it have that unit.

    Raises
    ------
    FileError
        If the file cannot be read or has no such table.
    """
    table = read_rows(path)
    rows = table.rows
    unknown = [brief(name)[1:-1] for name in rows[0] if name not in (*COLUMNS, *CAN_COLUMNS, "pass")]
    can_only = not any(name in rows[0] for name in COLUMNS) and any(name in rows[0] for name in CAN_COLUMNS)
    missing = [] if can_only else [name for name in NEEDED if name not in rows[0]]
    if unknown or missing:
        found = "; ".join(
            f"{word} column {', '.join(names)}" for word, names in (("unknown", unknown), ("missing", missing)) if names
        )
        msg = f"{path}: {found}; known: {', '.join((*COLUMNS, *CAN_COLUMNS))}"
        raise FileError(msg)
    for name, unit in table.units.items():
        known = [each.lower() for each in _measure(name)[0]]
        if name != "pass" and unit not in known:
            msg = f"{path}: column {name} is in one of {', '.join(known)}; its head says {unit}"
            raise FileError(msg)
    return [{name: _with_unit(cell, table.units.get(name, "")) for name, cell in row.items()} for row in rows]


def _measure(name: str) -> tuple[Mapping[str, Any], str]:
    """Return the units that a column's numbers may have, and which of them a bare number has."""
    if name == "temperature":
        return TEMPERATURE_UNITS, "°C"
    return (WEIGHT_UNITS, "g") if name.endswith("weight") else (LENGTH_UNITS, "mm")


def _with_unit(cell: Cell, unit: str) -> Cell:
    """Return a cell with its head's unit, where it is a bare number."""
    if not unit:
        return cell
    text = cell if isinstance(cell, str) else f"{cell:.15g}"
    return f"{text} {unit.upper() if unit in {'c', 'f'} else unit}" if text.rstrip()[-1:].isdigit() else text


def make_can_reading(rows: Iterable[Mapping[str, Any]], units: Units = METRIC) -> CanReading | None:
    """Make what was read of the can from rows of cells, as for `make_readings`; None where nothing was.

    Raises
    ------
    RequestError
        With a cell that is no number or is said twice, by its row and column.
    """
    found: dict[str, float] = {}
    for number, row in enumerate(rows, start=1):
        try:
            hot = _cell(row, "temperature", units)
            read = {name: value for name in CAN_COLUMNS if (value := _cell(row, name, units)) is not None}
            for name in read.keys() & found.keys():
                raise RequestError.at(name, "is said in a row above already: one can at a time")
        except RequestError as error:
            raise RequestError(_of_row(number, error)) from None
        found |= {
            name: cold_size(value, hot) if hot and name.startswith("welded") else value for name, value in read.items()
        }
    return CanReading(**found) if found else None


def make_readings(rows: Iterable[Mapping[str, Any]], units: Units = METRIC) -> tuple[Reading, ...]:
    """Make readings of passes from rows of cells.

    Parameters
    ----------
    rows
        What was read, by the names of `COLUMNS`: numbers, text with or without a unit, or empty where it was not
        read. A row that says nothing of a pass is passed over; there may be none that does where the can was read.
    units
        What sizes and heats without a unit are in.

    Raises
    ------
    RequestError
        With every fault, by its row, and its column where it is one cell's.
    """
    readings, faults, can_read = [], [], False
    for number, row in enumerate(rows, start=1):
        try:
            cells = {name: _cell(row, name, units) for name in COLUMNS}
            can_read = can_read or any(_is_filled(row.get(name)) for name in CAN_COLUMNS)
            if any(value for name, value in cells.items() if name != "temperature"):
                readings.append(_reading(cells))
        except RequestError as error:
            faults += _of_row(number, error)
    if faults:
        raise RequestError(faults)
    if not readings and not can_read:
        raise RequestError.at("readings", "at least one row is needed")
    return tuple(readings)


def _of_row(number: int, error: RequestError) -> list[Fault]:
    return [Fault(", ".join(filter(None, (f"row {number}", each.where))), each.problem) for each in error.faults]


def _is_filled(cell: Any) -> bool:
    return not (cell is None or (isinstance(cell, str) and not cell.strip()) or cell != cell)


def _cell(row: Mapping[str, Any], name: str, units: Units) -> float | None:
    cell = row.get(name)
    if cell is None or not _is_filled(cell):
        return None
    known, unit = _measure(name)
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
    if value > LARGEST:
        raise RequestError.at(name, f"a number of at most {LARGEST:.0f} is needed; given {typed(cell)}")
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
    # its mean width: at the face alone a bulge may leave less than there was
    width = "width_mid_after" if after.width_mid else "width_face_after"
    for name, key in (("length", "length_after"), ("width", width)):
        was, now = getattr(before, name), getattr(after, name)
        if was and now and now < (1 - SHRUNK) * was:
            problem = "dies that close make a bar longer and wider, never less: {} before and {} after; is one misread?"
            raise RequestError([Fault(key, say(problem, mm(was), mm(now)))])
    if after.width and after.length and before.length:
        ratio = after.thickness * after.width * after.length / (before.thickness * before.width * before.length)
        if abs(ratio - 1) > VOLUME_SLACK:
            problem = f"volume changes by {ratio - 1:+.1%}; at most {VOLUME_SLACK:.0%} can be: is a size misread?"
            raise RequestError.at("", problem)
    return Reading(before, after, bite or 0.0)
