"""What stands at each pixel of a ground face: which powder, out of which place in the can."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil
from typing import Literal

import numpy as np

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.blade.blade import Blade
from preview.blade.grind import Grind, Side
from preview.blade.surface import FaceGrid, face_stand
from preview.forging.history import PullBack
from preview.pattern.nickel import read_mottle
from preview.pattern.pattern import Sampler

Dividers = Literal["through", "along"]

CELLS_A_PIXEL = 1.5
"""Cells that a pixel spans once they are averaged beforehand: enough to keep lines sharp, few enough to be quick."""

MIRROR = 0.01
"""How far (mm, in the can) the faces' origins may differ for one to be called the other's mirror: the table's error."""

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
    mottle: tuple[Bytes, float] | None

    @property
    def mirrored(self) -> bool:
        """Whether the left face shows the right one's pattern, mirrored: then one reckoning serves both."""
        grind = self.grind
        alike = self.dividers == "through" and self.blade.placement.mid_plane == 0 and grind.edge_offset == 0
        return alike and grind.bevel("left") == grind.right and _keeps_mirror(self.pull_back)

    def can_points(self, side: Side, along: Array, across: Array, stand: Array) -> tuple[Array, Array, Array, Mask]:
        """Return can coordinates (mm) of points that stand ``stand`` mm outwards of the mid-plane, and the metal."""
        through = stand if side == "right" else -stand
        kind = stand.dtype.type
        return self.pull_back(
            *self.blade.blade_to_bar(along.astype(kind), across.astype(kind), through, self.pull_back.history.bar)
        )

    def in_picture(self, x: Array, y: Array, z: Array) -> tuple[Array, Array]:
        """Return raster column and row (in cells) of can points."""
        return self.sampler.positions(x, y) if self.dividers == "through" else self.sampler.positions(y, z)

    def is_shell(self, x: Array, y: Array, z: Array) -> Mask | None:
        """Return which can points lie in the can's wall, or None where none does."""
        shell: Mask | None = None
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
        Share of each class but the first (see `preview.pattern.pattern.Raster`), averaged over the pixel, float32.
    mottle
        Mottle bytes (see `preview.pattern.nickel.mottle`), or None.
    mottle_seen
        Share of the mottle's scatter that a pixel of this size still shows.
    shell, lost
        Pixels of the can's wall, and pixels with no metal at all; None where there are none.
    """

    side: Side
    grid: FaceGrid
    stand: Float32
    shares: tuple[Float32, ...]
    mottle: Bytes | None
    mottle_seen: float
    shell: Mask | None
    lost: Mask | None

    def share_of(self, classes: tuple[str, ...], names: tuple[str, ...]) -> Float32:
        """Return the share that the classes called ``names`` hold of each pixel, ``(rows, columns)`` float32."""
        rest = 1 - sum(self.shares, start=np.zeros(self.stand.shape, dtype=np.float32))
        held = (share for name, share in zip(classes, (rest, *self.shares), strict=True) if name in names)
        return sum(held, start=np.zeros(self.stand.shape, dtype=np.float32))


@dataclass(frozen=True)
class _Reading:
    """How a face's pixels read the pattern.

    Parameters
    ----------
    wide, high
        Cells of the raster averaged beforehand, so that few of them fall to a pixel.
    spread
        Where in a pixel it is sampled, in pixels down and right of its middle.
    longest
        A pixel's longest side in the can, mm.
    """

    wide: int
    high: int
    spread: tuple[tuple[float, float], ...]
    longest: float

    def sampler(self, ground: Ground) -> Sampler:
        """Return the sampler of the averaged cells."""
        return ground.sampler.coarser(self.wide, self.high)

    def placed(self, column: Array, row: Array) -> tuple[Array, Array]:
        """Carry raster columns and rows to those of the averaged cells."""
        return _shrunk(column, self.wide), _shrunk(row, self.high)


def _shrunk(position: Array, factor: int) -> Array:
    if factor == 1:
        return position
    kind = position.dtype.type
    return position * kind(1 / factor) + kind(0.5 / factor - 0.5)


def _reading(ground: Ground, side: Side, grid: FaceGrid) -> _Reading:
    """Return how a face's pixels are to read the pattern.

    Found on a coarse sample of the face; four pixels in five cover no more of the raster.
    """
    step_rows, step_columns = (max(1, n // 30) for n in grid.shape)
    x, y = np.broadcast_arrays(grid.along[:, ::step_columns], grid.across[::step_rows])
    on_blade = grid.mask[::step_rows, ::step_columns]
    if not on_blade.any():
        return _Reading(1, 1, ((0.0, 0.0),), 0.0)
    x, y, reach = x[on_blade], y[on_blade], 0.5 / grid.px_per_mm
    # both ends of a pixel's height, then of its width, all in one go
    along = np.stack([x, x, x + reach, x - reach])
    across = np.stack([y + reach, y - reach, y, y])
    outline = ground.blade.outline
    across = np.clip(across, outline.edge(along), outline.spine(along))
    distance = outline.edge_distance(along, across)
    stand = face_stand(ground.blade, ground.grind, ground.pull_back.history.bar, side, along, across, distance)
    column, row = np.broadcast_arrays(*ground.in_picture(*ground.can_points(side, along, across, stand)[:3]))
    moves = [(np.abs(column[n] - column[n + 1]), np.abs(row[n] - row[n + 1])) for n in (0, 2)]
    cell = ground.sampler.cell
    longest = max(float(np.percentile(np.hypot(move[0] * cell[0], move[1] * cell[1]), 50)) for move in moves)
    wide, high = (
        max(1, int(max(float(np.percentile(move[axis], 80)) for move in moves) / CELLS_A_PIXEL)) for axis in (0, 1)
    )
    down, right = (float(np.percentile(np.hypot(move[0] / wide, move[1] / high), 80)) for move in moves)
    spread = tuple((a, b) for a in _offsets(_samples(down)) for b in _offsets(_samples(right)))
    return _Reading(wide, high, spread, longest)


def _samples(cells: float) -> int:
    """Return how many samples span a footprint of ``cells`` raster cells: each stands for about one."""
    return int(min(MOST_SAMPLES, max(1, ceil(cells - 0.25))))


def _offsets(count: int) -> list[float]:
    return [(number + 0.5) / count - 0.5 for number in range(count)]


def compose(ground: Ground, side: Side, grid: FaceGrid) -> FaceMap:
    """Say what stands at each pixel of one face, averaged over the pixel where the pattern is finer than it."""
    return _composed(ground, (side,), grid)[0]


def compose_both(ground: Ground, grid: FaceGrid) -> tuple[FaceMap, FaceMap]:
    """Return both faces, the right one first; where they mirror each other, both out of one reckoning."""
    if ground.mirrored:
        right, left = _composed(ground, ("right", "left"), grid)
        return right, left
    return compose(ground, "right", grid), compose(ground, "left", grid)


def _composed(ground: Ground, sides: tuple[Side, ...], grid: FaceGrid) -> tuple[FaceMap, ...]:
    """Return the faces ``sides``: one, or two that mirror each other, so that only their mottle differs."""
    rows, columns = grid.shape
    stand = np.empty((rows, columns), dtype=np.float32)
    shares = tuple(np.zeros((rows, columns), dtype=np.float32) for _ in ground.sampler.cells)
    mottles = [np.empty((rows, columns), dtype=np.uint8) if ground.mottle else None for _ in sides]
    shell = np.zeros((rows, columns), dtype=bool)
    lost = np.zeros((rows, columns), dtype=bool)
    reading = _reading(ground, sides[0], grid)
    sampler = reading.sampler(ground)
    bar = ground.pull_back.history.bar

    def work(part: slice) -> None:
        across = grid.across[part]
        stand[part] = face_stand(ground.blade, ground.grind, bar, sides[0], grid.along, across, grid.distance[part])
        x, y, z, metal = ground.can_points(sides[0], grid.along, across, stand[part])
        if not metal.all():
            lost[part] = ~metal
        in_wall = ground.is_shell(x, y, z)
        if in_wall is not None:
            shell[part] = in_wall
        for mottle, up in zip(mottles, (z, -z), strict=False):
            if ground.mottle and mottle is not None:
                mottle[part] = read_mottle(*ground.mottle, x, y, up)
        column, row = reading.placed(*ground.in_picture(x, y, z))
        _average(sampler, column, row, reading.spread, tuple(each[part] for each in shares))

    in_row_blocks(work, rows, columns)
    seen = 1 / float(np.hypot(1, reading.longest / ground.mottle[1])) if ground.mottle else 1.0
    off = shell & ~lost if shell.any() else None, lost if lost.any() else None
    each = zip(sides, mottles, strict=True)
    return tuple(FaceMap(side, grid, stand, shares, mottle, seen, *off) for side, mottle in each)


@lru_cache(maxsize=8)
def _keeps_mirror(pull_back: PullBack) -> bool:
    """Say whether the forging treats what lies above the bar's mid-plane as what lies below it."""
    bar = pull_back.history.bar
    # a golden-ratio walk through the bar
    k = np.arange(300)
    x, y, z = (((k * step) % 1 - 0.5) * 0.98 * size for step, size in zip((0.755, 0.57, 0.82), bar.size, strict=True))
    above, below = pull_back(x, y, z), pull_back(x, y, -z)
    same = [np.abs(above[n] - below[n]).max() for n in (0, 1)] + [np.abs(above[2] + below[2]).max()]
    return max(map(float, same)) < MIRROR


def sample(ground: Ground, side: Side, grid: FaceGrid, column: Array, row: Array) -> tuple[Float32, ...]:
    """Return the shares (as in `FaceMap`) of a face whose pixels come from ``column``, ``row`` (in raster cells)."""
    reading = _reading(ground, side, grid)
    sampler = reading.sampler(ground)
    shares = tuple(np.zeros(grid.shape, dtype=np.float32) for _ in ground.sampler.cells)

    def work(part: slice) -> None:
        placed = reading.placed(column[part], row[part])
        _average(sampler, *placed, reading.spread, tuple(each[part] for each in shares))

    in_row_blocks(work, *grid.shape)
    return shares


def _average(
    sampler: Sampler,
    column: Array,
    row: Array,
    spread: tuple[tuple[float, float], ...],
    into: tuple[Float32, ...],
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
