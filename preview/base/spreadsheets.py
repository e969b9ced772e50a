"""Tables as offices save them: the cells of a CSV file, whatever separates them, or of a spreadsheet (ODS, XLSX)."""

from __future__ import annotations

import codecs
import csv
import io
import re
import zipfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import read_bytes
from preview.base.words import brief

Cell = str | float
"""What stands in a cell: as it was typed, or a spreadsheet's number."""

SPREADSHEETS = (".ods", ".xlsx")
LARGEST_UNPACKED = 50_000_000
"""Bytes of a spreadsheet, which is a ZIP, once unpacked."""

UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_cells(path: Path, largest: int, what: str) -> list[list[Cell]]:
    """Return the rows of cells of a file; of a spreadsheet those of its first sheet.

    Raises
    ------
    FileError
        If the file cannot be read, or is over ``largest`` bytes; ``what`` says what it should be.
    """
    content = read_bytes(path, largest, what)
    if path.suffix.lower() in SPREADSHEETS:
        return _spreadsheet(content, path, largest)
    try:
        text = content.decode("utf-16" if content.startswith(UTF_16) else "utf-8-sig")
    except UnicodeDecodeError as error:
        msg = f"{path}: cannot be read: {what} has to be UTF-8 or UTF-16 text; byte {error.start} is not"
        raise FileError(msg) from None
    return list(cells_of(text, str(path)))


def cells_of(text: str, source: str) -> Iterator[list[Cell]]:
    r"""Yield the rows of text whose cells are separated by tabs, semicolons or commas, as its first line has it.

    Raises
    ------
    FileError
        If it is no such text.

    Examples
    --------
    >>> list(cells_of("x;y\n1,5;2\n", "here"))
    [['x', 'y'], ['1,5', '2']]
    """
    lines = text.removeprefix("\ufeff").splitlines(keepends=True)
    said = re.fullmatch(r"sep=(.)\s*", lines[0]) if lines else None  # how some say what separates
    if said:
        lines = lines[1:]
    first = next((line for line in lines if line.strip()), "")
    separator = said[1] if said else next((each for each in "\t;" if each in first), ",")
    try:
        yield from csv.reader(io.StringIO("".join(lines), newline=""), delimiter=separator, strict=True)
    except csv.Error as error:
        msg = f"{source}: cannot be read as a table ({error})"
        raise FileError(msg) from None


def number_of(cell: Cell) -> float:
    """Return the number in a cell, whose decimals may come after a comma; raise `ValueError` where it is none.

    Examples
    --------
    >>> number_of("35,4"), number_of(" 35.4 "), number_of(2.0)
    (35.4, 35.4, 2.0)
    """
    if isinstance(cell, str):
        cell = with_point(cell)
    return float(cell)


def with_point(text: str) -> str:
    """Return text with the comma of its only number, if it has one, as a point."""
    return re.sub(r"(?<=\d),(?=\d)", ".", text) if text.count(",") == 1 and "." not in text else text


def typed(cell: Cell | None) -> str:
    """Return a cell as a message quotes it."""
    return brief(cell) if isinstance(cell, str) or cell is None else f"{cell:.10g}"


def _spreadsheet(content: bytes, path: Path, largest: int) -> list[list[Cell]]:
    from python_calamine import CalamineWorkbook

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(member.file_size for member in packed.infolist())
        if unpacked > LARGEST_UNPACKED:
            msg = f"{path}: over {LARGEST_UNPACKED // 1_000_000} MB are packed in it, too large for a table"
            raise FileError(msg)
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_index(0)
        if sheet.height * sheet.width > largest:
            msg = f"{path}: has {sheet.height} x {sheet.width} cells, too many for a table"
            raise FileError(msg)
        rows = sheet.to_python(skip_empty_area=True)
    except FileError:
        raise
    except BaseException as error:
        # the reader raises whatever broken bytes lead it to, some of it as no Exception
        if isinstance(error, (KeyboardInterrupt, SystemExit)):
            raise
        told = " ".join(str(error).split())[:200] or type(error).__name__
        msg = f"{path}: cannot be read as {path.suffix[1:].upper()} ({told})"
        raise FileError(msg) from None
    return [[_plain(cell) for cell in row] for row in rows]


def _plain(cell: object) -> Cell:
    """Return a spreadsheet's cell as a number or as text; a date is one that it made of what was typed."""
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return float(cell)
    return cell.isoformat() if isinstance(cell, date) else str(cell)
