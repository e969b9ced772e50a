"""A map of the bar's section, tabulated once and then read off for millions of points.

The direct map solves every press for every point. Over a section it is smooth, so it is worked out on a coarse
grid over one quarter, whose mirror images the others are, refined by a cubic spline, and read bilinearly. All in
float32, which holds a section to some 1e-5 mm. The table tests itself: it is refined until points between its nodes
agree with the direct map.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.cache import kept
from preview.base.curves import refined

SectionMap = Callable[[Array, Array], tuple[Array, Array]]
"""Carries section points (broadcastable arrays across and through, mm); treats the four quarters alike."""

TOLERANCE = 0.004
"""Largest error (mm) found at the table's test points; the project promises 0.005 everywhere."""
MOST_NODES = 6000
"""Nodes each way at most: of a bar wider than any blade needs, the table is coarse and not the memory's end."""
SPACINGS = (0.18, 0.13, 0.09, 0.06)
"""Node spacings (mm, mean, across) that are tried in turn; through the bar nodes stand twice as close."""


@dataclass(frozen=True, eq=False)
class SectionTable:
    """Bilinear cells over the section [-width/2, width/2] x [-thickness/2, thickness/2], in mm.

    Parameters
    ----------
    width, thickness
        Size of the section, in mm.
    cells
        ``(rows * columns, 8)`` float32: for each output ``a, b - a, c - a, d - b - c + a`` of the cell's corners;
        columns run along ``across``, rows along ``through``, both as
        Chebyshev points do: crowded towards the rim, where the dies fold the metal.
    rows, columns
        Number of cells each way.
    """

    width: float
    thickness: float
    cells: Float32
    rows: int
    columns: int

    @classmethod
    def of(cls, section_map: SectionMap, width: float, thickness: float, reach: tuple[float, float]) -> SectionTable:
        """Tabulate ``section_map``, refining until it agrees with it.

        ``reach`` is the width and thickness of the section that the map leads to: where it leads beyond, in the
        folded corners, there is no metal, and no error counts.
        """
        # a golden-ratio walk over the section, some of it along the rim, where the map is steepest
        k = np.arange(2000)
        y = ((k * 0.7548776662466927) % 1 - 0.5) * width
        z = ((k * 0.5698402909980532) % 1 - 0.5) * thickness
        y[::10] = np.sign(y[::10]) * width / 2 * 0.999
        z[5::10] = np.sign(z[5::10]) * thickness / 2 * 0.999
        # a place of the quarter that is worked out, then it mirrored across and it mirrored through
        y[-3:], z[-3:] = 0.3 * width * np.array([1, -1, 1]), 0.3 * thickness * np.array([1, 1, -1])
        y, z = y.astype(np.float32), z.astype(np.float32)
        direct = section_map(y, z)
        signs = [(float(np.sign(a * b)), float(np.sign(a * c))) for a, b, c in (values[-3:] for values in direct)]
        metal = (np.abs(direct[0]) <= reach[0] / 2) & (np.abs(direct[1]) <= reach[1] / 2)
        for spacing in SPACINGS:
            table = cls._at(section_map, width, thickness, spacing, signs)
            if all(
                np.abs(one - other)[metal].max() <= TOLERANCE for one, other in zip(table(y, z), direct, strict=True)
            ):
                break
        return table

    @classmethod
    def _at(
        cls, section_map: SectionMap, width: float, thickness: float, spacing: float, signs: list[tuple[float, float]]
    ) -> SectionTable:
        """Tabulate at a spacing; ``signs`` are each output's in the quarter mirrored across, and mirrored through."""

        def nodes(size: float, step: float) -> Array:
            return np.linspace(-1, 1, min(max(8, int(np.ceil(size / step))), MOST_NODES) + 1)

        def quarter(shares: Array, size: float) -> Float32:
            return np.asarray(np.sin(np.pi / 2 * shares[shares.size // 2 :]) * (size / 2), dtype=np.float32)

        coarse_s, coarse_t = nodes(width, spacing), nodes(thickness, spacing / 2)
        across, through = quarter(coarse_s, width), quarter(coarse_t, thickness)
        worked = np.broadcast_arrays(*section_map(across[None, :], through[:, None]))
        fine_s, fine_t = nodes(width, spacing / 4).size, nodes(thickness, spacing / 8).size
        packed = []
        for values, (over_across, over_through) in zip(worked, signs, strict=True):
            half = np.concatenate([over_across * values[:, ::-1][:, : coarse_s.size // 2], values], axis=1)
            whole = np.concatenate([over_through * half[::-1][: coarse_t.size // 2], half])
            a = refined(refined(whole.T, fine_s).T, fine_t).astype(np.float32)
            right, down = np.diff(a, axis=1)[:-1], np.diff(a, axis=0)[:, :-1]
            packed += [a[:-1, :-1], right, down, np.diff(np.diff(a, axis=0), axis=1)]
        cells = np.stack(packed, axis=-1)
        rows, columns = cells.shape[:2]
        return cls(width, thickness, cells.reshape(-1, 8), rows, columns)

    def __call__(self, across: Array, through: Array) -> tuple[Array, Array]:
        """Read the map at broadcastable points (mm); points outside the section are held at its rim."""
        dtype = np.result_type(across, through, np.float32)
        v, column = _split(_graded(np.asarray(across, dtype=dtype), self.width, self.columns), self.columns)
        u, row = _split(_graded(np.asarray(through, dtype=dtype), self.thickness, self.rows), self.rows)
        if v.ndim == 2 and v.shape[1] == 1:
            return self._along_rows(v, column, u, row)
        row *= dtype.type(self.columns)
        cell = np.take(self.cells, (row + column).astype(np.int32), axis=0)
        return _bilinear(cell[..., :4], v, u), _bilinear(cell[..., 4:], v, u)

    def _along_rows(self, v: Array, column: Array, u: Array, row: Array) -> tuple[Array, Array]:
        """Read points that share ``across`` along each row of an image: each row needs one column of cells."""
        lines = _lines(self, np.stack([v[:, 0], column[:, 0]]).astype(np.float32).tobytes())
        begins = np.arange(v.size, dtype=row.dtype)[:, None] * row.dtype.type(self.rows)
        row = row + begins  # one row may do for all
        line = np.take(lines, row.astype(np.int32), axis=0)
        first, second = line[..., 1] * u, line[..., 3] * u
        first += line[..., 0]
        second += line[..., 2]
        return first, second


@kept
def _lines(table: SectionTable, places: bytes) -> Float32:
    """Return what columns of a table hold: of each output a value and its change to the next row.

    ``places`` are the columns' share within their cells, and their cells, float32; ``(columns * rows, 4)``. They
    hang on how the blade lies, and not on the grind.
    """
    share, column = np.frombuffer(places, dtype=np.float32).reshape(2, -1)
    cells = table.cells.reshape(table.rows, table.columns, 8)[:, column.astype(np.intp)]
    lines = np.empty((share.size, table.rows, 4), dtype=np.float32)
    for output in range(2):
        a, right, down, both = np.moveaxis(cells[..., 4 * output : 4 * output + 4], -1, 0)
        lines[..., 2 * output] = (a + right * share).T
        lines[..., 2 * output + 1] = (down + both * share).T
    return lines.reshape(-1, 4)


def _split(number: Array, cells: int) -> tuple[Array, Array]:
    """Return the fraction within its cell and the number of the cell, both as floats."""
    whole = np.floor(np.clip(number, 0, cells - 1))  # at the low rim itself rounding leads below the first
    number -= whole
    return number, whole


def _bilinear(cell: Float32, v: Array, u: Array) -> Array:
    """Return ``a + b v + c u + d u v`` of packed cells (..., 4)."""
    value = cell[..., 3] * v
    value += cell[..., 2]
    value *= u
    value += cell[..., 0]
    value += cell[..., 1] * v
    return np.asarray(value)


def _graded(position: Array, size: float, cells: int) -> Array:
    """Return the fractional cell number of ``position`` (mm) among cells spaced as Chebyshev points."""
    kind = position.dtype.type
    number = np.clip(position * kind(2 / size), -1, 1)
    np.arcsin(number, out=number)
    number *= kind(cells / np.pi)
    number += kind(cells / 2)
    return number
