"""The pattern laid in the can as a raster: a picture's colours read as shares of the powders they stand for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, cos, radians, sin, sqrt
from pathlib import Path

import numpy as np
import shapely
from PIL import Image, ImageColor

from preview.base.arrays import Bytes, Float32
from preview.base.cache import kept
from preview.base.errors import JobError
from preview.base.files import stamp_of
from preview.base.pictures import read_picture
from preview.base.progress import counted
from preview.base.shapes import FLAT
from preview.base.units import Sentence, mm, say
from preview.pattern.colours import read_colours
from preview.pattern.coverage import covered
from preview.pattern.drawn import Named, names_of, read_painted
from preview.pattern.pattern import VOID, Pattern
from preview.pattern.powders import Powder

MIXED = 0.3
"""Share of a picture's pixels between two named colours at which it is more than soft edges."""

LARGEST_RASTER = 3_200_000
"""Cells of the working raster; a larger picture is averaged down to it, a drawing of shapes is laid on as many."""

ROUNDED, KEENER = 1.8, 2.6
"""How far (in cells, standard deviation) the stairs of cells are rounded; how much keener their rims are made again."""

AT_ONCE = 1 << 18
"""Pixels read together: what is known of them stays in the processor's cache."""

TIGHT = 0.01
"""How far (mm) a drawing's own size may miss the can's inside and still fill it."""


@dataclass(frozen=True, eq=False)
class Cells:
    """Shares of each powder, whatever size the cells have in the can: what is worked out of them alone is kept by them.

    Parameters
    ----------
    classes
        Names of the powders, then ``void`` where the picture has any.
    shares
        ``(classes, rows, columns)`` float32, adding up to 1; one row and column of surround all round.
    """

    classes: tuple[str, ...]
    shares: Float32

    def share_of(self, names: tuple[str, ...]) -> Float32:
        """Return the share that the classes called ``names`` hold of each cell, ``(rows, columns)``."""
        held = (self.shares[self.classes.index(name)] for name in names if name in self.classes)
        return sum(held, start=np.zeros(self.shares.shape[1:], dtype=np.float32))


@kept
def averaged(cells: Cells, wide: int, high: int) -> Cells:
    """Return cells that are each the average of ``wide`` by ``high``."""
    rows, columns = cells.shares.shape[1:]
    padded = np.pad(cells.shares, ((0, 0), (0, -rows % high), (0, -columns % wide)), mode="edge")
    return Cells(cells.classes, np.stack([np.asarray(Image.fromarray(each).reduce((wide, high))) for each in padded]))


@dataclass(frozen=True, eq=False)
class Raster:
    """Shares of each powder over the picture's area, centred on the can's middle.

    Parameters
    ----------
    cells
        The shares.
    cell
        Width and height of a cell, mm.
    stray
        Share of the picture's pixels that matched no named colour.
    notes
        What the user should know about how the picture was read.
    """

    cells: Cells
    cell: tuple[float, float]
    stray: float
    notes: tuple[Sentence, ...]

    @property
    def classes(self) -> tuple[str, ...]:
        """Names of the powders, as in `Cells`."""
        return self.cells.classes

    @property
    def shares(self) -> Float32:
        """Share of each, as in `Cells`."""
        return self.cells.shares

    def share_of(self, names: tuple[str, ...]) -> Float32:
        """Return the share that the classes called ``names`` hold of each cell, as of `Cells`."""
        return self.cells.share_of(names)


@kept
def rounded(cells: Cells) -> Cells:
    """Return cells whose stairs are rounded, for pixels smaller than they are: lines keep their place and width.

    A line's rim, over which its share goes from 0 to 1 in steps of whole cells, becomes a smooth curve half way
    between its corners.
    """
    from scipy.ndimage import gaussian_filter

    shares = [gaussian_filter(values, ROUNDED, mode="nearest") for values in cells.shares[1:]]
    for values in shares:  # as keen again as it was
        values -= 0.5
        values *= KEENER
        values += 0.5
        np.clip(values, 0, 1, out=values)
    rest = np.clip(1 - sum(shares, start=np.zeros_like(cells.shares[0])), 0, 1)
    total = rest + sum(shares, start=np.zeros_like(rest))
    return Cells(cells.classes, np.stack([rest, *shares]) / total)


def read_raster(path: Path, pattern: Pattern, powders: tuple[Powder, ...], inside: tuple[float, float]) -> Raster:
    """Read the picture at ``path`` as a raster over ``inside`` (mm, the can as the dividers see it).

    A drawing of shapes (SVG, DXF) has its own size where the pattern gives none, and each cell holds exactly what
    of it the shapes cover, wherever they lie. Kept until the file or anything that goes into it changes.

    Raises
    ------
    FileError
        If the picture cannot be read.
    JobError
        If a drawing is larger than the can.
    """
    stamp, named = stamp_of(path), names_of(powders)
    if path.suffix.lower() in FLAT or pattern.placed:
        return _read(path, stamp, pattern, named, inside)
    # a picture that fills its place is the same cells, whatever their size
    unit = pattern.model_copy(update={"size": pattern.size and (1.0, 1.0), "dividers": "through"})
    read = _read(path, stamp, unit, named, (1.0, 1.0))
    width, height = pattern.size or inside
    return replace(read, cell=(read.cell[0] * width, read.cell[1] * height))


@kept
def _read(
    path: Path,
    stamp: tuple[int, int],  # noqa: ARG001 - part of the cache's key: a picture that changed is read again
    pattern: Pattern,
    named: Named,
    inside: tuple[float, float],
) -> Raster:
    drawn = path.suffix.lower() in FLAT
    laid = (_read_drawing if drawn else _read_pixels)(path, pattern, named, inside)
    size = laid.size
    rows, columns = laid.shares.shape[1:]
    if size is None:  # the picture reaches the wall: nothing else shows beyond it
        padded = np.pad(laid.shares, ((0, 0), (1, 1), (1, 1)), mode="edge")
    else:
        padded = np.zeros((len(laid.classes), rows + 2, columns + 2), dtype=np.float32)
        padded[laid.classes.index(pattern.surround or named[0][0])] = 1
        padded[:, 1:-1, 1:-1] = laid.shares
    width, height = size or inside
    cell = (width / columns, height / rows)
    if pattern.placed and not drawn:  # a drawing was laid there as it was drawn
        padded, cell = _in_the_can(padded, cell, pattern, inside)
    return Raster(Cells(laid.classes, padded), cell, laid.stray, laid.notes)


def _in_the_can(
    padded: Float32, cell: tuple[float, float], pattern: Pattern, inside: tuple[float, float]
) -> tuple[Float32, tuple[float, float]]:
    """Return shares and cell of a raster over the whole of the can, a picture's shares laid where it stands in it."""
    from scipy.ndimage import affine_transform

    pitch = max(min(cell), sqrt(inside[0] * inside[1] / LARGEST_RASTER))
    count = [ceil(size / pitch) for size in inside]
    wide, high = inside[0] / count[0], inside[1] / count[1]
    along, beside = cos(radians(pattern.turn)), sin(radians(pattern.turn))
    # from the can's rows and columns to the picture's: turned back about its middle
    matrix = np.array(
        [
            [along * high / cell[1], beside * wide / cell[1]],
            [-beside * high / cell[0], along * wide / cell[0]],
        ]
    )
    middle = (np.array(padded.shape[1:]) - 1) / 2
    there = (count[1] - 1) / 2 - pattern.at[1] / high, (count[0] - 1) / 2 + pattern.at[0] / wide
    shape = (count[1], count[0])
    laid = [
        affine_transform(values, matrix, middle - matrix @ there, shape, order=1, mode="nearest") for values in padded
    ]
    return np.pad(np.stack(laid), ((0, 0), (1, 1), (1, 1)), mode="edge"), (wide, high)


@dataclass(frozen=True, eq=False)
class _Laid:
    """A picture read: shares ``(classes, rows, columns)``, and the size that they lie over (mm); None all the can."""

    classes: tuple[str, ...]
    shares: Float32
    stray: float
    notes: tuple[Sentence, ...]
    size: tuple[float, float] | None


def _owners(named: Named) -> tuple[Bytes, Bytes]:
    """Return the named colours (n, 4), RGBA, and which powder each stands for."""
    owner = np.array([index for index, (_, colours) in enumerate(named) for _ in colours], dtype=np.uint8)
    rgb = [ImageColor.getrgb(colour)[:3] for _, group in named for colour in group]
    return owner, np.array([(*each, 255) for each in rgb], dtype=np.uint8)


def _most_cells(pattern: Pattern, inside: tuple[float, float]) -> float:
    """Return how many cells a picture may take up: its share of the can's where it is moved or turned in it."""
    width, height = pattern.size or inside
    return LARGEST_RASTER * (width * height / (inside[0] * inside[1]) if pattern.placed else 1.0)


def _told_stray(stray: float) -> tuple[Sentence, ...]:
    if stray <= 0.001:
        return ()
    return (say("{} of the picture matches none of the named colours; it takes the nearest.", f"{stray:.1%}"),)


def _read_drawing(path: Path, pattern: Pattern, named: Named, inside: tuple[float, float]) -> _Laid:
    painted = read_painted(path, named, inside)
    width, height = painted.size
    if pattern.size is None and (fault := no_room(painted.size, inside)):
        raise JobError.at("pattern.picture", fault)
    if pattern.placed:  # over all of the can, the shapes carried to where they lie
        over, corner = inside, (-inside[0] / 2, inside[1] / 2)
        areas, page = painted.laid(pattern.size or painted.size, pattern.at, pattern.turn)
    else:  # over its page
        over, corner = painted.size, (painted.page[0], painted.page[3])
        areas, page = painted.areas, shapely.box(*painted.page)
    per_mm = sqrt(LARGEST_RASTER / (over[0] * over[1]))
    columns, rows = max(2, round(over[0] * per_mm)), max(2, round(over[1] * per_mm))
    grid = ((rows, columns), (over[0] / columns, over[1] / rows), corner)
    classes = [name for name, _ in named]
    owner, colours = _owners(named)
    shares, stray = np.zeros((len(classes), rows, columns), dtype=np.float32), 0.0
    layers = [(covered(area, *grid), colour) for area, colour in counted("reading the drawing", areas)]
    bare = covered(page, *grid)
    shares[classes.index(pattern.surround or classes[0])] = 1 - bare
    for held, _ in layers:
        bare -= held
    if pattern.transparent == VOID:
        layers.append((np.clip(bare, 0, 1), painted.bare))
    else:
        shares[classes.index(pattern.transparent)] += np.clip(bare, 0, 1)
    for held, colour in layers:
        read = read_colours(np.array([(*colour, 255)], dtype=np.uint8), colours, owner)
        mixed = float(read.share.sum())
        shares[read.first[0]] += held * (1 - mixed)
        if mixed:
            shares[read.second[0]] += held * mixed
        stray += float(held.mean()) * bool(read.stray.any())
    notes = (*painted.notes, *_told_stray(stray))
    fills = abs(width - inside[0]) < TIGHT and abs(height - inside[1]) < TIGHT
    size = None if pattern.placed else pattern.size or (None if fills else painted.size)
    return _Laid(tuple(classes), shares, stray, notes, size)


def no_room(size: tuple[float, float], room: tuple[float, float]) -> Sentence | None:
    """Return what is wrong where a drawing of its own ``size`` has no ``room`` (mm) in the can; None where it has."""
    if all(side <= space + TIGHT for side, space in zip(size, room, strict=True)):
        return None
    words = "the drawing is {}, and the can's inside has only {} there; draw it smaller, or give it another size"
    return say(words, mm(*size), mm(*room))


def _read_pixels(path: Path, pattern: Pattern, named: Named, inside: tuple[float, float]) -> _Laid:
    picture, notes = read_picture(path)
    rows, columns = picture.shape[:2]
    owner, colours = _owners(named)

    flat = picture.reshape(-1, 4)
    first, parts = np.empty(len(flat), dtype=np.uint8), []
    for low in counted("reading the picture", range(0, len(flat), AT_ONCE)):
        read = read_colours(flat[low : low + AT_ONCE], colours, owner)
        first[low : low + AT_ONCE] = read.first
        parts.append((read.between + low, read.second, read.share, read.stray))
    between, second, share, stray = (np.concatenate(each) for each in zip(*parts, strict=True))
    classes = [name for name, _ in named]
    clear = flat[:, 3] < 128
    stray &= ~clear[between]
    if clear.any():
        if pattern.transparent == VOID:
            classes.append(VOID)
        first[clear], share[clear[between]] = classes.index(pattern.transparent), 0
        notes += (say("Transparent pixels ({}) are read as {}.", f"{clear.mean():.1%}", pattern.transparent),)
    stray_share = float(stray.sum()) / len(flat)
    notes = (*notes, *_told_stray(stray_share))
    starts = first[between]
    mixed = float(((share > 0) & (share < 1) & (starts != second)).sum()) / len(flat)
    if mixed > MIXED:
        told = "{} of the picture lies between two named colours; it is read as a mix of the two."
        notes += (say(told, f"{mixed:.0%}"),)

    shrink = max(1.0, sqrt(rows * columns / _most_cells(pattern, inside)))
    size = (max(2, ceil(columns / shrink)), max(2, ceil(rows / shrink)))
    shares = np.empty((len(classes), size[1], size[0]), dtype=np.float32)
    for index in range(1, len(classes)):
        member = (first == index).astype(np.float32)
        member[between] = (starts == index) * (1 - share) + (second == index) * share
        member = member.reshape(rows, columns)
        if shrink > 1:
            member = np.asarray(Image.fromarray(member).resize(size, Image.Resampling.BOX))
        shares[index] = member
    np.clip(1 - shares[1:].sum(axis=0), 0, 1, out=shares[0])
    return _Laid(tuple(classes), shares, stray_share, notes, pattern.size)
