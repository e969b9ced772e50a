"""What a photograph of the real bar or blade showed: a small TOML file that the job refers to."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BeforeValidator, Field, ValidationError

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.files import read_text
from preview.base.settings import Number, Settings

LARGEST_FILE = 1_000_000

Row = tuple[Number, ...]
Table = tuple[Row, ...]

MOSTLY = 1.28
"""Standard deviations within which a normal deviate stays four times of five; for the length of one in a plane, by its
root mean square, it is 1.27 (both by hand)."""

FORGED = ("spread", "friction", "fill_density", "along", "across", "scale_factor")
"""The uncertain things whose work a photograph of the bar shows, all of it together."""


def _keys(given: Any) -> Any:
    """Return the keys and values of ``given``; none of a hash, which files of before hold and which names none."""
    return () if isinstance(given, str) else given


class Left(Settings):
    """A way in which the pattern may still lie otherwise, one standard deviation of it: tables as in `Seen`."""

    along: Table
    across: Table


class Seen(Settings):
    """Where the pattern lies on the real bar: what the reckoning has at ``x + (along, across)`` lies at ``x``.

    Places are those of the forged bar after its last step, mm from its heel end and its edge side; what holds for the
    face holds for the metal under it.

    Parameters
    ----------
    version
        Of this layout.
    of
        Whether the ``bar`` was photographed, or the finished ``blade``, with which all is settled.
    forged
        What was in the can and how it was forged, each key of the work with its value; see `preview.job.fingerprint`.
        Files from before it was kept have none.
    bar
        Length and width of the bar that was reckoned with, mm.
    start, spacing
        The tables' first place, and how far apart their places are, along and across, mm.
    along, across
        The tables, a row for each place across, mm.
    left
        What the photograph left open.
    """

    version: Literal[1] = 1
    of: Literal["bar", "blade"] = "bar"
    forged: Annotated[tuple[tuple[str, str], ...], BeforeValidator(_keys)] = ()
    bar: tuple[Number, Number]
    start: tuple[Number, Number]
    spacing: tuple[Annotated[Number, Field(gt=0)], Annotated[Number, Field(gt=0)]]
    along: Table
    across: Table
    left: tuple[Left, ...] = ()

    @property
    def off(self) -> float:
        """How far the pattern may still lie off four times of five, mm, over the tables of all that was left open."""
        left = [np.square([each.along, each.across]).sum(axis=0) for each in self.left]
        return MOSTLY * float(np.sqrt(np.mean(np.sum(left, axis=0)))) if left else 0.0

    def moved(self, along: Array, across: Array) -> tuple[Array, Array]:
        """Return what places (broadcastable arrays, mm, bar frame) have to be reckoned at."""
        ahead, aside = self._read((self.along, self.across), along, across)
        return along + ahead, across + aside

    def left_at(self, number: int, along: Array, across: Array) -> tuple[Array, Array]:
        """Return one of what is left open at places (as for `moved`), mm along and across."""
        return self._read((self.left[number].along, self.left[number].across), along, across)

    def _read(self, tables: tuple[Table, Table], along: Array, across: Array) -> tuple[Array, Array]:
        along, across = np.broadcast_arrays(along, across)
        column = (along + self.bar[0] / 2 - self.start[0]) / self.spacing[0]
        row = (across + self.bar[1] / 2 - self.start[1]) / self.spacing[1]
        one, other = (_between(np.array(table, dtype=along.dtype), row, column) for table in tables)
        return one, other


def _between(table: Array, row: Array, column: Array) -> Array:
    """Return a table's values between its places, and at its rim beyond it."""
    high, wide = table.shape
    row, column = np.clip(row, 0, high - 1), np.clip(column, 0, wide - 1)
    top, left = np.minimum(row.astype(np.int32), high - 2), np.minimum(column.astype(np.int32), wide - 2)
    down, right = row - top.astype(row.dtype), column - left.astype(column.dtype)
    upper = table[top, left] * (1 - right) + table[top, left + 1] * right
    lower = table[top + 1, left] * (1 - right) + table[top + 1, left + 1] * right
    return np.asarray(upper * (1 - down) + lower * down)


def load_seen(path: Path) -> Seen:
    """Read what a photograph showed; raise `FileError` if the file cannot be read or holds something else."""
    text = read_text(path, LARGEST_FILE, "what a photograph showed")
    try:
        return Seen.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        msg = f"{path}: cannot be read as what a photograph showed ({error})"
    except ValidationError as error:
        found = "; ".join(f"{'.'.join(map(str, each['loc']))}: {each['msg']}" for each in error.errors())
        msg = f"{path}: not what a photograph showed: {found}"
    raise FileError(msg)


def dump_seen(seen: Seen) -> str:
    """Return it as TOML text."""
    import tomli_w

    return tomli_w.dumps(seen.model_dump(exclude_none=True))
