"""The pattern laid in the can: a picture whose colours stand for powders, as a raster that can be sampled."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import ceil, sqrt
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from PIL import Image, ImageColor

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.pictures import read_picture
from preview.base.settings import Control, PositiveLength, Settings
from preview.pattern.powders import Powder

VOID = "void"
STRAY = 48.0
"""Distance in 8-bit RGB from the named colours, and from the blends of two of them, at which one is stray."""

NOISE = 0.04
"""Share of the way to another named colour that is read as none of it: the noise of a compressed picture."""

MIXED = 0.3
"""Share of a picture's pixels between two named colours at which it is more than soft edges."""

LARGEST_RASTER = 3_200_000
"""Cells of the working raster; a larger picture is averaged down to it."""


class Pattern(Settings):
    """The pattern picture and how it lies in the can.

    ``size`` is the picture's width and height in mm, by default the whole of the can's inside as the dividers
    see it; it lies in the middle. ``dividers`` run ``through`` the blade (the picture lies on the can's floor,
    columns along, top row at +across) or ``along`` it (the picture stands across the can, columns across, top
    row at +through). Round a smaller picture lies ``surround``, by default the first powder.
    Transparent pixels are ``void`` or the powder named.
    """

    picture: str
    size: tuple[PositiveLength, PositiveLength] | None = None
    dividers: Annotated[
        Literal["through", "along"],
        Control(
            "Dividers run",
            help="Through the blade: the picture lies on the can's floor. Along it: the picture stands across the can.",
        ),
    ] = "through"
    surround: str | None = None
    transparent: str = VOID


@dataclass(frozen=True, eq=False)
class Raster:
    """Shares of each powder over the picture's area, centred on the can's middle.

    Parameters
    ----------
    classes
        Names of the powders, then ``void`` where the picture has any.
    shares
        ``(classes, rows, columns)`` float32, adding up to 1; one row and column of surround all round.
    cell
        Width and height of a cell, mm.
    stray
        Share of the picture's pixels that matched no named colour.
    notes
        What the user should know about how the picture was read.
    """

    classes: tuple[str, ...]
    shares: Float32
    cell: tuple[float, float]
    stray: float
    notes: tuple[str, ...]


def colour_problem(text: str) -> str | None:
    """Return what is wrong with a colour's name, or None."""
    try:
        ImageColor.getrgb(text)
    except ValueError:
        return f"a colour such as '#1a2b3c' or 'black' is needed; given {text!r}"
    return None


@dataclass(frozen=True, eq=False)
class _Read:
    """What pixels (n) stand for: a ``first`` colour, a ``second`` one mixed in by ``share``, and which are stray."""

    first: Bytes
    second: Bytes
    share: Float32
    stray: Mask


def _read_colours(pixels: Bytes, colours: Float32) -> _Read:
    """Read ``pixels`` (n, 3) by the named colours.

    A colour between two named ones is the soft edge between them (or a mix of the two powders), by its place on
    the way from one to the other; where it lies between several pairs, the closer pair counts.
    """
    values = pixels.astype(np.float32)
    to_named = np.stack([np.square(values - colour).sum(axis=1) for colour in colours])
    first = to_named.argmin(axis=0).astype(np.uint8)
    second, share = first.copy(), np.zeros(len(values), dtype=np.float32)
    off = to_named.min(axis=0)
    nearest = first.copy()
    pairs = sorted(combinations(range(len(colours)), 2), key=lambda pair: float(np.ptp(colours[list(pair)], 0).sum()))
    for one, other in pairs:
        step = colours[other] - colours[one]
        along = np.clip((values - colours[one]) @ step / max(float(step @ step), 1e-9), 0, 1)
        beside = np.square(values - colours[one] - along[:, None] * step).sum(axis=1)
        better = beside < off - 1
        first[better], second[better] = one, other
        share[better], off[better] = along[better], beside[better]
    stray = off > STRAY**2
    first[stray], share[stray] = nearest[stray], 0
    share = np.clip((share - NOISE) / (1 - 2 * NOISE), 0, 1)
    return _Read(first, second, share, stray)


def read_raster(path: Path, pattern: Pattern, powders: tuple[Powder, ...], inside: tuple[float, float]) -> Raster:
    """Read the picture at ``path`` as a raster over ``inside`` (mm, the can as the dividers see it).

    Kept until the file or anything that goes into it changes.

    Raises
    ------
    FileError
        If the picture cannot be read.
    """
    stamp = path.stat() if path.exists() else None
    marks = (stamp.st_mtime_ns, stamp.st_size) if stamp else (0, 0)
    named = tuple((powder.name, powder.colours) for powder in powders)
    return _read(path, marks, pattern, named, inside)


@lru_cache(maxsize=4)
def _read(
    path: Path,
    marks: tuple[int, int],  # noqa: ARG001 - part of the cache's key: a picture that changed is read again
    pattern: Pattern,
    named: tuple[tuple[str, tuple[str, ...]], ...],
    inside: tuple[float, float],
) -> Raster:
    picture, notes = read_picture(path)
    rows, columns = picture.shape[:2]
    names = [name for name, _ in named]
    owner = np.array([index for index, (_, colours) in enumerate(named) for _ in colours])
    colours = np.array([ImageColor.getrgb(c)[:3] for _, group in named for c in group], dtype=np.float32)

    flat = picture.reshape(-1, 4)
    first, second = np.empty(len(flat), dtype=np.uint8), np.empty(len(flat), dtype=np.uint8)
    share = np.empty(len(flat), dtype=np.float32)
    strays = 0
    clear = flat[:, 3] < 128
    for low in range(0, len(flat), 1 << 20):
        part = slice(low, low + (1 << 20))
        read = _read_colours(flat[part, :3], colours)
        first[part], second[part], share[part] = owner[read.first], owner[read.second], read.share
        strays += int((read.stray & ~clear[part]).sum())
    classes = list(names)
    if clear.any():
        if pattern.transparent == VOID:
            classes.append(VOID)
        first[clear], share[clear] = classes.index(pattern.transparent), 0
        notes = (*notes, f"Transparent pixels ({clear.mean():.1%}) are read as {pattern.transparent}.")
    stray_share = strays / len(flat)
    if stray_share > 0.001:
        notes = (*notes, f"{stray_share:.1%} of the picture matches none of the named colours; it takes the nearest.")
    mixed = float(((share > 0) & (share < 1) & (first != second)).mean())
    if mixed > MIXED:
        notes = (*notes, f"{mixed:.0%} of the picture lies between two named colours; it is read as a mix of the two.")

    shrink = max(1.0, sqrt(rows * columns / LARGEST_RASTER))
    size = (max(2, ceil(columns / shrink)), max(2, ceil(rows / shrink)))
    shares = np.empty((len(classes), size[1], size[0]), dtype=np.float32)
    for index in range(len(classes)):
        member = np.where(first == index, 1 - share, 0) + np.where(second == index, share, 0)
        member = member.reshape(rows, columns).astype(np.float32)
        if shrink > 1:
            member = np.asarray(Image.fromarray(member).resize(size, Image.Resampling.BOX))
        shares[index] = member
    surround = classes.index(pattern.surround or names[0])
    padded = np.zeros((len(classes), size[1] + 2, size[0] + 2), dtype=np.float32)
    padded[surround] = 1
    padded[:, 1:-1, 1:-1] = shares
    width, height = pattern.size or inside
    if pattern.size is None:  # the picture reaches the wall: nothing else shows beyond it
        padded = np.pad(shares, ((0, 0), (1, 1), (1, 1)), mode="edge")
    return Raster(tuple(classes), padded, (width / size[0], height / size[1]), stray_share, notes)


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


@lru_cache(maxsize=8)
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
