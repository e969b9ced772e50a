"""Reading the raster at any place: packed so that one 16-byte gather gives a sample."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.cache import kept
from preview.pattern.raster import Cells, Raster, averaged, rounded


@dataclass(frozen=True, eq=False)
class Sampler:
    """A raster, packed for reading when it is first read: one 16-byte gather a sample.

    Parameters
    ----------
    raster
        What is read.
    """

    raster: Raster

    @property
    def rows(self) -> int:
        """Squares of four neighbouring cells, from top to bottom."""
        return len(self.raster.shares[0]) - 1

    @property
    def columns(self) -> int:
        """The same from left to right."""
        return len(self.raster.shares[0, 0]) - 1

    @cached_property
    def packed(self) -> tuple[Float32, ...]:
        """One ``(rows * columns, 4)`` float32 array for every class but the first.

        ``a, b - a, c - a, d - b - c + a`` of each square's values.
        """
        return _packed(self.raster.cells)

    def coarser(self, wide: int, high: int) -> Sampler:
        """Return a sampler of cells averaged ``wide`` by ``high``: place c here is (c + 1/2) / wide - 1/2 there."""
        if wide == high == 1:
            return self
        raster = self.raster
        cell = (raster.cell[0] * wide, raster.cell[1] * high)
        return Sampler(replace(raster, cells=averaged(raster.cells, wide, high), cell=cell))

    def rounded(self) -> Sampler:
        """Return a sampler of cells whose stairs are rounded."""
        return Sampler(replace(self.raster, cells=rounded(self.raster.cells)))

    def positions(self, first: Array, second: Array) -> tuple[Array, Array]:
        """Return column and row (in cells) of points ``first`` (rightwards) and ``second`` (upwards), mm."""
        wide, high = self.raster.cell
        kind = first.dtype.type
        column = first * kind(1 / wide) + kind(self.columns / 2)
        row = second * kind(-1 / high) + kind(self.rows / 2)
        return column, row

    def shares(self, column: Array, row: Array) -> Float32:
        """Return the share of each class, the first included, at ``column``, ``row`` (broadcastable, in cells).

        Shape ``(classes, ...)``.
        """
        column, row = (np.array(each) for each in np.broadcast_arrays(column, row))
        shares = np.zeros((len(self.raster.classes), *column.shape), dtype=np.float32)
        self.read(column, row, tuple(shares[1:]), 1.0)
        shares[0] = 1 - shares[1:].sum(axis=0)
        return shares

    def read(self, column: Array, row: Array, into: tuple[Float32, ...], weight: float) -> None:
        """Add ``weight`` times the classes' shares at ``column``, ``row`` to the arrays ``into``."""
        kind = column.dtype.type
        left, column = _split(column, self.columns)
        top, row = _split(row, self.rows)
        index = (top * kind(self.columns) + left).astype(np.int32)
        for squares, total in zip(self.packed, into, strict=True):
            cell = np.take(squares, index, axis=0)
            value = cell[..., 1] * column
            value += cell[..., 0]
            column_part = cell[..., 3] * column
            column_part += cell[..., 2]
            column_part *= row
            value += column_part
            value *= np.float32(weight)
            total += value


@kept
def _packed(cells: Cells) -> tuple[Float32, ...]:
    packed = []
    for values in cells.shares[1:]:
        a, b, c, d = values[:-1, :-1], values[:-1, 1:], values[1:, :-1], values[1:, 1:]
        squares = np.empty((*a.shape, 4), dtype=np.float32)
        squares[..., 0] = a
        np.subtract(b, a, out=squares[..., 1])
        np.subtract(c, a, out=squares[..., 2])
        np.subtract(d - c, squares[..., 1], out=squares[..., 3])
        packed.append(squares.reshape(-1, 4))
    return tuple(packed)


def _split(number: Array, cells: int) -> tuple[Array, Array]:
    """Return the number of the cell and the fraction within it, both as floats; points off the raster at its rim."""
    if number.size and (number.min() < 0 or number.max() >= cells):
        number = np.clip(number, 0, cells)
        whole = np.floor(np.minimum(number, cells - 1))
    else:
        whole = np.floor(number)
    return whole, number - whole
