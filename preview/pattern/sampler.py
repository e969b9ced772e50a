"""Reading the raster at any place: packed so that one 16-byte gather gives a sample."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.base.cache import kept
from preview.pattern.raster import Cells, Raster, averaged, rounded

AT_ONCE = 64
"""Rows of cells read together into stripes: what is known of them stays in the processor's cache."""


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

    def stripes(self, columns: Array) -> tuple[Float32, ...]:
        """Return every class but the first down the raster, at ``columns`` (in cells), for `read_stripes`.

        ``columns`` are ``(samples, n)``, and the samples are averaged: ``(raster rows, n)`` float32. Where pixels below
        each other lie in one column of the raster this is half of the reading, and no change of the grind changes it.
        """
        return _stripes(self.raster.cells, columns.shape, columns.astype(np.float32).tobytes())

    def read_stripes(self, stripes: tuple[Float32, ...], row: Array, into: tuple[Float32, ...], weight: float) -> None:
        """Add ``weight`` times the classes' shares at ``row`` (in cells; a column for each stripe) to the arrays."""
        if not stripes:  # all one powder: there is no other to read
            return
        top, row = _split(row, self.rows)
        begins: NDArray[np.int32] = np.arange(stripes[0].shape[1], dtype=np.int32)
        # in whole numbers: a long blade's stripes have more cells than float32 can tell apart
        index: NDArray[np.int32] = top.astype(np.int32)
        index = index * np.int32(begins.size) + begins
        for stripe, total in zip(stripes, into, strict=True):
            above, value = np.take(stripe, index), np.take(stripe[1:], index)
            value -= above
            value *= row
            value += above
            value *= np.float32(weight)
            total += value

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
def _stripes(cells: Cells, shape: tuple[int, int], columns: bytes) -> tuple[Float32, ...]:
    places = np.frombuffer(columns, dtype=np.float32).reshape(shape)
    left, share = _split(places, cells.shares.shape[2] - 1)
    left = left.astype(np.intp)
    share /= len(places)
    made = tuple(np.zeros((cells.shares.shape[1], shape[1]), dtype=np.float32) for _ in cells.shares[1:])
    for values, total in zip(cells.shares[1:], made, strict=True):
        for low in range(0, len(values), AT_ONCE):
            some, into = values[low : low + AT_ONCE], total[low : low + AT_ONCE]
            for at, of_right in zip(left, share, strict=True):
                into += np.take(some, at, axis=1) * (np.float32(1 / len(places)) - of_right)
                into += np.take(some, at + 1, axis=1) * of_right
    return made


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
