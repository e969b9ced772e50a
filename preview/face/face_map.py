"""What stands at each pixel of a ground face: which powder, out of which place in the can."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.blade.grind import SIDES, Side
from preview.face.grid import FaceGrid
from preview.face.origins import Origins
from preview.face.view import View
from preview.pattern.nickel import read_mottle
from preview.pattern.sampler import Sampler

CELLS_A_PIXEL = 1.5
"""Cells that a pixel spans once they are averaged beforehand: enough to keep lines sharp, few enough to be quick."""

STAIRS, FINE_CELL = 0.8, 0.2
"""Cells that a pixel spans, at most, where the stairs of cells are rounded; and how large (mm on the blade) a cell is,
at most, that stands for a curve and not for itself."""

MOST_SAMPLES = 32
"""Samples a pixel each way, at most."""


@dataclass(frozen=True, eq=False)
class FaceMap:
    """One face's pixels, columns from heel to tip, row 0 at the spine side; all ``(rows, columns)``.

    Parameters
    ----------
    view
        Which face, and its pixels.
    classes
        Names of the powders, then ``void`` where the pattern has any.
    stand
        Where the ground face stands, mm outwards of the mid-plane, float32.
    shares
        Share of each class but the first, averaged over the pixel, float32.
    mottle
        Mottle bytes (see `preview.pattern.nickel.mottle`), or None.
    mottle_seen
        Share of the mottle's scatter that a pixel of this size still shows.
    shell, lost
        Pixels of the can's wall, and pixels with no metal at all; None where there are none.
    grain
        How long and how tall a grain of the can has become over most of the face: 1 as it was.
    """

    view: View
    classes: tuple[str, ...]
    stand: Float32
    shares: tuple[Float32, ...]
    mottle: Bytes | None
    mottle_seen: float
    shell: Mask | None
    lost: Mask | None
    grain: tuple[float, float]

    @property
    def side(self) -> Side:
        """Which face."""
        return self.view.side

    @property
    def grid(self) -> FaceGrid:
        """Its pixels."""
        return self.view.grid

    @property
    def off_pattern(self) -> Mask | None:
        """Pixels of the can's wall or with no metal; None where there are none."""
        if self.shell is None or self.lost is None:
            return self.lost if self.shell is None else self.shell
        return self.shell | self.lost

    def share_of(self, names: tuple[str, ...]) -> Float32:
        """Return the share that the classes called ``names`` hold of each pixel, ``(rows, columns)``."""
        rest = 1 - sum(self.shares, start=np.zeros(self.stand.shape, dtype=np.float32))
        held = (share for name, share in zip(self.classes, (rest, *self.shares), strict=True) if name in names)
        return sum(held, start=np.zeros(self.stand.shape, dtype=np.float32))


@dataclass(frozen=True)
class _Reading:
    """How a face's pixels read the pattern.

    Parameters
    ----------
    wide, high
        Cells of the raster averaged beforehand, so that few of them fall to a pixel.
    down, right
        Where in a pixel it is sampled, in pixels down and right of its middle: each with each.
    longest
        A pixel's longest side in the can, mm.
    grain
        See `FaceMap`.
    stairs
        Whether pixels are so much smaller than the cells of a fine raster that its stairs would show.
    """

    wide: int
    high: int
    down: tuple[float, ...]
    right: tuple[float, ...]
    longest: float
    grain: tuple[float, float] = (1.0, 1.0)
    stairs: bool = False

    def sampler(self, origins: Origins) -> Sampler:
        """Return the sampler of the averaged cells, or of the rounded ones."""
        return origins.sampler.rounded() if self.stairs else origins.sampler.coarser(self.wide, self.high)

    def placed(self, column: Array, row: Array) -> tuple[Array, Array]:
        """Carry raster columns and rows to those of the averaged cells."""
        return _shrunk(column, self.wide), _shrunk(row, self.high)


def _shrunk(position: Array, factor: int) -> Array:
    if factor == 1:
        return position
    kind = position.dtype.type
    return position * kind(1 / factor) + kind(0.5 / factor - 0.5)


def _reading(origins: Origins, view: View) -> _Reading:
    """Return how a face's pixels are to read the pattern.

    Found on a coarse sample of the face; four pixels in five cover no more of the raster.
    """
    along, across, distance = _coarse(view)
    if not along.size:
        return _Reading(1, 1, (0.0,), (0.0,), 0.0)
    x, y, z, _ = origins.of_face(view.side, along, across, distance)
    steps = [np.hypot(across[n] - across[n + 1], along[n] - along[n + 1]) for n in (2, 0)]
    places = np.broadcast_arrays(x, y, z)
    carried = [np.sqrt(sum((each[n] - each[n + 1]) ** 2 for each in places)) for n in (2, 0)]
    long, tall = (float(np.median(step / np.maximum(far, 1e-6))) for step, far in zip(steps, carried, strict=True))
    column, row = np.broadcast_arrays(*origins.in_picture(x, y, z))
    moves = [(np.abs(column[n] - column[n + 1]), np.abs(row[n] - row[n + 1])) for n in (0, 2)]
    cell = origins.sampler.raster.cell
    longest = max(float(np.percentile(np.hypot(move[0] * cell[0], move[1] * cell[1]), 50)) for move in moves)
    wide, high = (
        max(1, int(max(float(np.percentile(move[axis], 80)) for move in moves) / CELLS_A_PIXEL)) for axis in (0, 1)
    )
    down, right = (float(np.percentile(np.hypot(move[0] / wide, move[1] / high), 80)) for move in moves)
    least = min(float(np.percentile(move[axis], 50)) for axis, move in zip((1, 0), moves, strict=True))
    stairs = FINE_CELL * view.px_per_mm * least > 1 and 0 < least < STAIRS
    offsets = _offsets(_samples(down)), _offsets(_samples(right))
    return _Reading(wide, high, *offsets, longest, (long, tall), stairs)


@kept
def _coarse(view: View) -> tuple[Array, Array, Array]:
    """Return both ends of some pixels' height, then of their width, ``(4, n)``: along, across, off the edge, mm."""
    grid = view.grid
    step_rows, step_columns = (max(1, n // 30) for n in grid.shape)
    x, y = np.broadcast_arrays(grid.along[:, ::step_columns], grid.across[::step_rows])
    on_blade = grid.mask[::step_rows, ::step_columns]
    x, y, reach = x[on_blade], y[on_blade], 0.5 / grid.px_per_mm
    along = np.stack([x, x, x + reach, x - reach])
    across = np.stack([y + reach, y - reach, y, y])
    across = np.clip(across, view.outline.edge(along), view.outline.spine(along))
    return along, across, view.outline.edge_distance(along, across)


def _samples(cells: float) -> int:
    """Return how many samples span a footprint of ``cells`` raster cells: each stands for about one."""
    return int(min(MOST_SAMPLES, max(1, ceil(cells - 0.25))))


def _offsets(count: int) -> tuple[float, ...]:
    return tuple((number + 0.5) / count - 0.5 for number in range(count))


def compose(origins: Origins, view: View) -> FaceMap:
    """Say what stands at each pixel of one face, averaged over the pixel where the pattern is finer than it."""
    return _composed(origins, (view,))[0]


def compose_both(origins: Origins, px_per_mm: float) -> tuple[FaceMap, FaceMap]:
    """Return both faces, the right one first; where they mirror each other, both out of one reckoning."""
    right, left = (View.of(side, origins.ground.blade, px_per_mm) for side in SIDES)
    if origins.mirrored:
        one, other = _composed(origins, (right, left))
        return one, other
    return compose(origins, right), compose(origins, left)


def _composed(origins: Origins, views: tuple[View, ...]) -> tuple[FaceMap, ...]:
    """Return the faces seen: one, or two that mirror each other, so that only their mottle differs."""
    first, grid, mottled = views[0], views[0].grid, origins.mottle
    texture = None if mottled is None else (mottled.texture, mottled.particle)
    rows, columns = grid.shape
    stand = np.empty((rows, columns), dtype=np.float32)
    mottles = [np.empty((rows, columns), dtype=np.uint8) if texture else None for _ in views]
    shell = np.zeros((rows, columns), dtype=bool)
    lost = np.zeros((rows, columns), dtype=bool)
    reading = _reading(origins, first)
    sampler = reading.sampler(origins)
    shares = tuple(np.zeros((rows, columns), dtype=np.float32) for _ in sampler.raster.classes[1:])

    def pulled(part: slice) -> tuple[Array, Array, Array, Mask]:
        across = grid.across[part]
        stand[part] = origins.ground.stand(first.side, grid.along, across, grid.distance[part])
        return origins.of_points(first.side, grid.along, across, stand[part])

    column, _ = reading.placed(*origins.in_picture(*pulled(slice(0, 2))[:3]))
    stripes = _stripes(sampler, column, reading.right)

    def work(part: slice) -> None:
        x, y, z, metal = pulled(part)
        if not metal.all():
            lost[part] = ~metal
        in_wall = origins.is_shell(x, y, z)
        if in_wall is not None:
            shell[part] = in_wall
        for mottle, up in zip(mottles, (z, -z), strict=False):
            if texture and mottle is not None:
                mottle[part] = read_mottle(*texture, x, y, up)
        column, row = reading.placed(*origins.in_picture(x, y, z))
        into = tuple(each[part] for each in shares)
        if stripes is None:
            _average(sampler, column, row, reading, into)
        else:
            _average_stripes(sampler, stripes, row, reading.down, into)

    in_row_blocks(work, rows, columns)
    seen = 1 / float(np.hypot(1, reading.longest / texture[1])) if texture else 1.0
    off = shell & ~lost if shell.any() else None, lost if lost.any() else None
    classes = origins.sampler.raster.classes
    each = zip(views, mottles, strict=True)
    return tuple(FaceMap(view, classes, stand, shares, mottle, seen, *off, reading.grain) for view, mottle in each)


def sample(origins: Origins, view: View, column: Array, row: Array) -> tuple[Float32, ...]:
    """Return the shares (as in `FaceMap`) of a face whose pixels come from ``column``, ``row`` (in raster cells)."""
    reading = _reading(origins, view)
    sampler = reading.sampler(origins)
    shape = view.grid.shape
    shares = tuple(np.zeros(shape, dtype=np.float32) for _ in sampler.raster.classes[1:])

    def work(part: slice) -> None:
        placed = reading.placed(column[part], row[part])
        _average(sampler, *placed, reading, tuple(each[part] for each in shares))

    in_row_blocks(work, *shape)
    return shares


def _stripes(sampler: Sampler, column: Array, right: tuple[float, ...]) -> tuple[Float32, ...] | None:
    """Return what `Sampler.stripes` has for samples ``right`` of ``column``; None where it differs from row to row."""
    if len(column) > 1:
        return None
    step = _step(column, 1, right)
    return sampler.stripes(np.concatenate([_moved(column, step, part) for part in right]))


def _average_stripes(
    sampler: Sampler, stripes: tuple[Float32, ...], row: Array, down: tuple[float, ...], into: tuple[Float32, ...]
) -> None:
    step = _step(row, 0, down)
    for part in down:
        sampler.read_stripes(stripes, _moved(row, step, part), into, 1 / len(down))


def _average(sampler: Sampler, column: Array, row: Array, reading: _Reading, into: tuple[Float32, ...]) -> None:
    both = column, row
    lower, aside = (
        [_step(each, axis, parts) for each in both] for axis, parts in ((0, reading.down), (1, reading.right))
    )
    weight = 1 / (len(reading.down) * len(reading.right))
    for down in reading.down:
        below = [_moved(each, step, down) for each, step in zip(both, lower, strict=True)]
        for right in reading.right:
            column_there, row_there = (_moved(each, step, right) for each, step in zip(below, aside, strict=True))
            sampler.read(column_there, row_there, into, weight)


def _step(position: Array, axis: int, parts: tuple[float, ...]) -> Array | None:
    """Return by how much ``position`` (rows, columns; or one of them 1) changes from pixel to pixel along an axis.

    None where it does not, or where no sample of ``parts`` lies off that way.
    """
    if not any(parts) or position.shape[axis] <= 2:
        return None
    # across the joint of two tiles the position jumps; no pixel is that wide
    step = np.gradient(position, axis=axis)
    return np.asarray(np.clip(step, -MOST_SAMPLES, MOST_SAMPLES, out=step))


def _moved(position: Array, step: Array | None, part: float) -> Array:
    """Return ``position`` as it is ``part`` of a pixel on, by ``step`` a pixel."""
    return position if step is None or not part else position + step * position.dtype.type(part)
