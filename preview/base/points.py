"""Tables of points as CSV."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import FileError

BLADE = ("along", "across", "through")
CAN = ("can_along", "can_across", "can_up")


def read_points(path: Path) -> Array:
    """Read points (n, 3) in mm from a CSV file of three columns; a heading line may come first.

    Raises
    ------
    FileError
        If the file cannot be read, or a line does not hold three finite numbers, with its number.
    """
    try:
        lines = path.read_text("utf-8-sig").splitlines()
    except FileNotFoundError:
        msg = f"{path}: there is no such file"
        raise FileError(msg) from None
    except (OSError, UnicodeDecodeError) as error:
        msg = f"{path}: cannot be read as UTF-8 text ({error})"
        raise FileError(msg) from None
    points = []
    for number, row in enumerate(csv.reader(lines), start=1):
        if not row or (number == 1 and not any(character.isdigit() for character in "".join(row))):
            continue
        try:
            point = [float(cell) for cell in row[:3]]
        except ValueError:
            point = []
        if len(row) != 3 or len(point) != 3 or not np.isfinite(point).all():
            msg = (
                f"{path}: line {number}: three numbers (along, across, through; mm) are needed; given {','.join(row)!r}"
            )
            raise FileError(msg)
        points.append(point)
    if not points:
        msg = f"{path}: there are no points in it"
        raise FileError(msg)
    return np.array(points)


def format_points(given: Array, found: Array, *, reverse: bool) -> str:
    """Return given and found points (n, 3) side by side as CSV text; cells are empty for points off the metal."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow((*CAN, *BLADE) if reverse else (*BLADE, *CAN))
    for point, answer in zip(given, found, strict=True):
        cells = ["" if np.isnan(value) else f"{value:.6f}" for value in answer]
        writer.writerow([*(f"{value:.6f}" for value in point), *cells])
    return stream.getvalue()
