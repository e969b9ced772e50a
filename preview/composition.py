"""What stands at each pixel of a ground face: which powder, out of which place in the can."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.blade import Blade
from preview.grind import Grind, Side
from preview.history import PullBack
from preview.nickel import read_mottle
from preview.pattern import Sampler
from preview.surface import FaceGrid, face_stand
from preview.tiles import in_row_blocks

Array = NDArray[np.floating[Any]]
Dividers = Literal["through", "along"]

MOST_SAMPLES = 32
"""Samples a pixel each way, at most."""


@dataclass(frozen=True, eq=False)
class Ground:
    """All that says where a pixel of the ground blade came from.

    Parameters
    ----------
    pull_back
        The forging, tabulated.
    blade, grind
        The blade and its grind.
    sampler
        The pattern laid in the can.
    dividers
        Which way the pattern's dividers run.
    inside
        The can's inside, mm: beyond it lies the shell.
    mottle
        Texture and particle size, or None where no powder is mottled.
    """

    pull_back: PullBack
    blade: Blade
    grind: Grind
    sampler: Sampler
    dividers: Dividers
    inside: tuple[float, float, float]
    mottle: tuple[NDArray[np.uint8], float] | None

    def can_points(
        self, side: Side, along: Array, across: Array, stand: Array
    ) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
        """Return can coordinates (mm) of points that stand ``stand`` mm outwards of the mid-plane, and the metal."""
        through = stand if side == "right" else -stand
        kind = stand.dtype.type
        return self.pull_back(
            *self.blade.blade_to_bar(along.astype(kind), across.astype(kind), through, self.pull_back.history.bar)
        )

    def in_picture(self, x: Array, y: Array, z: Array) -> tuple[Array, Array]:
        """Return raster column and row (in cells) of can points."""
        return self.sampler.positions(x, y) if self.dividers == "through" else self.sampler.positions(y, z)

    def is_shell(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_] | None:
        """Return which can points lie in the can's wall, or None where none does."""
        shell: NDArray[np.bool_] | None = None
        for position, size in zip((x, y, z), self.inside, strict=True):
            if position.size and max(-position.min(), position.max()) > size / 2:
                beyond = np.abs(position) > size / 2
                shell = beyond if shell is None else shell | beyond
        return shell


@dataclass(frozen=True, eq=False)
class FaceMap:
    """One face's pixels, columns from heel to tip, row 0 at the spine side; all ``(rows, columns)``.

    Parameters
    ----------
    side, grid
        Which face, and its pixels.
    stand
        Where the ground face stands, mm outwards of the mid-plane, float32.
    shares
        Share of each class but the first (see `preview.pattern.Raster`), averaged over the pixel, float32.
    mottle
        Mottle bytes (see `preview.nickel.mottle`), or None.
    mottle_seen
        Share of the mottle's scatter that a pixel of this size still shows.
    shell, lost
        Pixels of the can's wall, and pixels with no metal at all; None where there are none.
    """

    side: Side
    grid: FaceGrid
    stand: NDArray[np.float32]
    shares: tuple[NDArray[np.float32], ...]
    mottle: NDArray[np.uint8] | None
    mottle_seen: float
    shell: NDArray[np.bool_] | None
    lost: NDArray[np.bool_] | None

    def share_of(self, classes: tuple[str, ...], names: tuple[str, ...]) -> NDArray[np.float32]:
        """Return the share that the classes called ``names`` hold of each pixel, ``(rows, columns)`` float32."""
        rest = 1 - sum(self.shares, start=np.zeros(self.stand.shape, dtype=np.float32))
        held = (share for name, share in zip(classes, (rest, *self.shares), strict=True) if name in names)
        return sum(held, start=np.zeros(self.stand.shape, dtype=np.float32))


def _footprint(ground: Ground, side: Side, grid: FaceGrid) -> tuple[float, float, float]:
    """Return how many raster cells a pixel covers downwards and rightwards, and its longest side in the can, mm.

    Found on a coarse sample of the face; four pixels in five cover no more.
    """
    step_rows, step_columns = (max(1, n // 40) for n in grid.shape)
    x, y = np.broadcast_arrays(grid.along[:, ::step_columns], grid.across[::step_rows])
    on_blade = grid.mask[::step_rows, ::step_columns]
    if not on_blade.any():
        return 1.0, 1.0, 0.0
    x, y, reach = x[on_blade], y[on_blade], 0.5 / grid.px_per_mm

    def picture(along: Array, across: Array) -> tuple[Array, Array]:
        outline = ground.blade.outline
        across = np.clip(across, outline.edge(along), outline.spine(along))
        distance = outline.edge_distance(along, across)
        stand = face_stand(ground.blade, ground.grind, ground.pull_back.history.bar, side, along, across, distance)
        column, row = ground.in_picture(*ground.can_points(side, along, across, stand)[:3])
        column, row = np.broadcast_arrays(column, row)
        return column, row

    sizes = []
    longest = 0.0
    for dx, dy in ((0.0, reach), (reach, 0.0)):
        (column1, row1), (column0, row0) = picture(x + dx, y + dy), picture(x - dx, y - dy)
        sizes.append(float(np.percentile(np.hypot(column1 - column0, row1 - row0), 80)))
        wide, high = ground.sampler.cell
        in_mm = np.hypot((column1 - column0) * wide, (row1 - row0) * high)
        longest = max(longest, float(np.percentile(in_mm, 50)))
    return sizes[0], sizes[1], longest


def _samples(cells: float) -> int:
    """Return how many samples span a footprint of ``cells`` raster cells: each stands for about one."""
    return int(min(MOST_SAMPLES, max(1, ceil(cells - 0.25))))


def _offsets(count: int) -> list[float]:
    return [(number + 0.5) / count - 0.5 for number in range(count)]


def compose(ground: Ground, side: Side, grid: FaceGrid) -> FaceMap:
    """Say what stands at each pixel of one face, averaged over the pixel where the pattern is finer than it."""
    rows, columns = grid.shape
    stand = np.empty((rows, columns), dtype=np.float32)
    shares = tuple(np.zeros((rows, columns), dtype=np.float32) for _ in ground.sampler.cells)
    mottle = np.empty((rows, columns), dtype=np.uint8) if ground.mottle else None
    shell = np.zeros((rows, columns), dtype=bool)
    lost = np.zeros((rows, columns), dtype=bool)
    down, right, longest = _footprint(ground, side, grid)
    spread = _spread(down, right)
    bar = ground.pull_back.history.bar

    def work(part: slice) -> None:
        across = grid.across[part]
        stand[part] = face_stand(ground.blade, ground.grind, bar, side, grid.along, across, grid.distance[part])
        x, y, z, metal = ground.can_points(side, grid.along, across, stand[part])
        if not metal.all():
            lost[part] = ~metal
        in_wall = ground.is_shell(x, y, z)
        if in_wall is not None:
            shell[part] = in_wall
        if ground.mottle and mottle is not None:
            mottle[part] = read_mottle(*ground.mottle, x, y, z)
        column, row = ground.in_picture(x, y, z)
        _average(ground.sampler, column, row, spread, tuple(each[part] for each in shares))

    in_row_blocks(work, rows, columns)
    seen = 1.0
    if ground.mottle:
        seen = 1 / float(np.hypot(1, longest / ground.mottle[1]))
    return FaceMap(
        side, grid, stand, shares, mottle, seen,
        shell & ~lost if shell.any() else None,
        lost if lost.any() else None,
    )  # fmt: skip


def sample(ground: Ground, side: Side, grid: FaceGrid, column: Array, row: Array) -> tuple[NDArray[np.float32], ...]:
    """Return the shares (as in `FaceMap`) of a face whose pixels come from ``column``, ``row`` (in raster cells)."""
    down, right, _ = _footprint(ground, side, grid)
    shares = tuple(np.zeros(grid.shape, dtype=np.float32) for _ in ground.sampler.cells)

    def work(part: slice) -> None:
        _average(ground.sampler, column[part], row[part], _spread(down, right), tuple(each[part] for each in shares))

    in_row_blocks(work, *grid.shape)
    return shares


def _spread(down: float, right: float) -> list[tuple[float, float]]:
    """Return where in a pixel it is sampled, in pixels down and right of its middle, for its footprint in cells."""
    return [(a, b) for a in _offsets(_samples(down)) for b in _offsets(_samples(right))]


def _average(
    sampler: Sampler,
    column: Array,
    row: Array,
    spread: list[tuple[float, float]],
    into: tuple[NDArray[np.float32], ...],
) -> None:
    for down_by, right_by in spread:
        sampler.read(_moved(column, down_by, right_by), _moved(row, down_by, right_by), into, 1 / len(spread))


def _moved(position: Array, down: float, right: float) -> Array:
    """Return ``position`` (rows, columns; or one of them 1) as it is part of a pixel lower and to the right."""
    moved = position
    for axis, part in ((0, down), (1, right)):
        if part and position.shape[axis] > 2:
            # across the joint of two tiles the position jumps; no pixel is that wide
            step = np.clip(np.gradient(position, axis=axis), -MOST_SAMPLES, MOST_SAMPLES)
            moved = moved + step * position.dtype.type(part)
    return moved
