"""Reading the raster at any place: packed so that one 16-byte gather gives a sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.cache import kept
from preview.pattern.raster import Raster


@dataclass(frozen=True, eq=False)
class Sampler:
    """A raster packed for reading: one 16-byte gather a sample.

    Parameters
    ----------
    cells
        One ``((rows - 1) * (columns - 1), 4)`` float32 array for every class but the first: ``a, b - a, c - a,
        d - b - c + a`` of each square of four neighbouring values.
    rows, columns
        Squares each way.
    cell
        Width and height of a cell, mm.
    raster
        What was packed.
    """

    cells: tuple[Float32, ...]
    rows: int
    columns: int
    cell: tuple[float, float]
    raster: Raster

    @classmethod
    def of(cls, raster: Raster) -> Sampler:
        """Pack a raster."""
        packed = []
        for values in raster.shares[1:]:
            a, b, c, d = values[:-1, :-1], values[:-1, 1:], values[1:, :-1], values[1:, 1:]
            packed.append(np.stack([a, b - a, c - a, d - b - c + a], axis=-1).reshape(-1, 4))
        rows, columns = raster.shares.shape[1:]
        return cls(tuple(packed), rows - 1, columns - 1, raster.cell, raster)

    def coarser(self, wide: int, high: int) -> Sampler:
        """Return a sampler of cells averaged ``wide`` by ``high``: place c here is (c + 1/2) / wide - 1/2 there."""
        return self if wide == high == 1 else _coarser(self.raster, wide, high)

    def positions(self, first: Array, second: Array) -> tuple[Array, Array]:
        """Return column and row (in cells) of points ``first`` (rightwards) and ``second`` (upwards), mm."""
        wide, high = self.cell
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
        for cells, total in zip(self.cells, into, strict=True):
            cell = np.take(cells, index, axis=0)
            value = cell[..., 1] * column
            value += cell[..., 0]
            column_part = cell[..., 3] * column
            column_part += cell[..., 2]
            column_part *= row
            value += column_part
            value *= np.float32(weight)
            total += value


@kept
def _coarser(raster: Raster, wide: int, high: int) -> Sampler:
    shares = raster.shares
    rows, columns = shares.shape[1:]
    padded = np.pad(shares, ((0, 0), (0, -rows % high), (0, -columns % wide)), mode="edge")
    blocks = padded.reshape(len(shares), padded.shape[1] // high, high, padded.shape[2] // wide, wide)
    averaged = np.asarray(blocks.mean(axis=(2, 4)), dtype=np.float32)
    cell = (raster.cell[0] * wide, raster.cell[1] * high)
    return Sampler.of(Raster(raster.classes, averaged, cell, raster.stray, raster.notes))


def _split(number: Array, cells: int) -> tuple[Array, Array]:
    """Return the number of the cell and the fraction within it, both as floats; points off the raster at its rim."""
    if number.size and (number.min() < 0 or number.max() >= cells):
        number = np.clip(number, 0, cells)
        whole = np.floor(np.minimum(number, cells - 1))
    else:
        whole = np.floor(number)
    return whole, number - whole
