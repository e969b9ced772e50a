"""A photographed or scanned drawing made into a clean pattern picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageColor

from preview.base.arrays import Bytes, Float32, Mask
from preview.base.cache import kept
from preview.base.errors import FileError, RequestError
from preview.base.files import stamp_of
from preview.base.paper_corners import WHOLE, Corners, cut_out, find_corners, lay_flat, proportion
from preview.base.photographs import read_photograph
from preview.base.pictures import jpeg_bytes
from preview.base.units import Sentence, mm, say
from preview.pattern.clean_shapes import Tones, fill_closed, outlines_only, take_narrow_out, tell_apart
from preview.pattern.fineness import fineness, too_fine
from preview.pattern.ink import darkness, levels, take_rules_off
from preview.pattern.powders import NICKEL, PLAIN, Powder
from preview.pattern.raster import Cells, Raster
from preview.pattern.sketch import Sketch

LONGER_SIDE = 2000
"""Pixels of the clean picture's longer side."""

SHOWN = 1600
"""Pixels of the longer side of the photograph as it is shown."""

RIM = 0.01
"""Share of the sheet's longer side along its own edge that counts as bare paper: table that still shows there."""

PALE = 0.4
"""Darkness under which a drawing is called pale."""

LOST = 0.02
"""Share of a drawing that is taken out as too narrow before it is worth a word."""


@dataclass(frozen=True, eq=False)
class SketchPhoto:
    """A photograph of a drawing, upright.

    Parameters
    ----------
    picture
        It, for the screen: a JPEG, the longer side at most `SHOWN`.
    tall
        Its height over its width.
    corners
        The sheet's corners seen in it, as `Sketch.corners`; its own where no sheet is seen.
    """

    picture: bytes
    tall: float
    corners: Corners


@dataclass(frozen=True, eq=False)
class CleanSketch:
    """A drawing made into a pattern.

    Parameters
    ----------
    picture
        The pattern in the powders' colours, RGB bytes ``(rows, columns, 3)``.
    sheet
        The photograph of the same piece of the sheet, laid straight, RGB bytes of the same shape: what it was.
    colours
        The powders' colours, RGB bytes, in the order of ``raster``'s.
    px_per_mm
        Pixels in a millimetre of the pattern.
    corners
        The sheet's corners in the photograph, as `Sketch.corners`; those of the photograph where none were found.
    raster
        The pattern as shares of the powders, darkest drawn first.
    finest
        Each powder's finest width, mm: lines of one are gaps of the other.
    narrow
        Where a powder lies in lines too narrow to be laid, ``(rows, columns)``.
    notes
        What was done, and what is doubtful.
    """

    picture: Bytes
    sheet: Bytes
    colours: Bytes
    px_per_mm: float
    corners: Corners
    raster: Raster
    finest: Mapping[str, float]
    narrow: Mask
    notes: tuple[Sentence, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the pattern, mm."""
        rows, columns = self.picture.shape[:2]
        return columns / self.px_per_mm, rows / self.px_per_mm


@dataclass(frozen=True, eq=False)
class _Photo:
    """A photograph on white, RGB bytes; how it was read; the corners seen in it."""

    pixels: Bytes
    notes: tuple[Sentence, ...]
    corners: Corners | None


@dataclass(frozen=True, eq=False)
class _Straight:
    """A piece of the sheet laid straight: its picture, the sheet's corners, and how that was done."""

    sheet: Bytes
    corners: Corners
    notes: tuple[Sentence, ...]


def find_sheet(path: Path) -> SketchPhoto:
    """Return the photograph or scan of a drawing, and the sheet's corners seen in it; kept until the file changes.

    Raises
    ------
    FileError
        If it cannot be read, or is dark all over.
    """
    return _shown(path, stamp_of(path))


@kept
def _shown(path: Path, stamp: tuple[int, int]) -> SketchPhoto:
    photo = _photo(path, stamp)
    rows, columns = photo.pixels.shape[:2]
    image = Image.fromarray(photo.pixels)
    image.thumbnail((SHOWN, SHOWN))
    return SketchPhoto(jpeg_bytes(np.asarray(image)), rows / columns, photo.corners or WHOLE)


def lay_straight(path: Path, sketch: Sketch) -> Bytes:
    """Return what ``sketch`` takes of the sheet, laid straight, RGB bytes: `CleanSketch.sheet`, before it is clean.

    Raises
    ------
    FileError
        If the photograph cannot be read, or is dark all over.
    """
    return _straight(path, stamp_of(path), sketch.corners, sketch.crop).sheet


def clean_sketch(
    path: Path, sketch: Sketch | None = None, powders: tuple[Powder, ...] = (PLAIN, NICKEL), *, finest: float = 0.0
) -> CleanSketch:
    """Make a photographed or scanned drawing into a clean pattern.

    Parameters
    ----------
    path
        The photograph or scan.
    sketch
        What to make of it; by default as `Sketch` has it.
    powders
        The powders that ``sketch`` may name.
    finest
        Width (mm) under which a line cannot be laid; it is pointed out, not taken out.

    Raises
    ------
    FileError
        If the picture cannot be read, is dark all over, or nothing is drawn on it.
    RequestError
        If a powder is not known, or all that is drawn is narrower than is kept.
    """
    sketch = sketch or Sketch()
    known = {powder.name: powder for powder in powders}
    unknown = [name for name in sketch.powders if name not in known]
    if unknown or len(set(sketch.powders)) < len(sketch.powders):
        problem = f"each has to be another of {', '.join(known)}; given {', '.join(sketch.powders)}"
        raise RequestError.at("sketch.powders", problem)
    if path.suffix.lower() in (".svg", ".dxf"):
        msg = f"{path}: is a clean drawing already: name it as the pattern's picture; a photograph or scan is needed"
        raise FileError(msg)
    marks = (path, stamp_of(path), sketch.corners, sketch.crop)
    flat = _straight(*marks)
    dark, rules = _dark(*marks)
    parted = levels(dark, len(sketch.powders))
    if parted is None:
        msg = f"{path}: no drawing is seen in it, nothing stands out dark from the paper; a darker pen is needed"
        raise FileError(msg)
    if sketch.pale is not None:
        parted = np.array([max(sketch.pale, 0.01)])
    px_per_mm = dark.shape[1] / sketch.width
    drawn = tell_apart(dark, parted, sketch.smooth * px_per_mm)
    lines, inked = outlines_only(drawn), dark[drawn < drawn.max()]
    if sketch.fill:
        drawn = fill_closed(drawn)
    tones = take_narrow_out(drawn, sketch.smallest * px_per_mm)
    if tones.min() == tones.max():
        vanished = say(
            "no line of the drawing is as wide as {} at a width of {}; a thicker pen, a wider pattern or a smaller "
            "limit is needed", mm(sketch.smallest), mm(sketch.width),
        )  # fmt: skip
        raise RequestError.at("sketch.smallest", vanished)
    names = sketch.powders[::-1] if sketch.swap else sketch.powders
    colours = np.array([ImageColor.getrgb(known[name].colours[0])[:3] for name in names], dtype=np.uint8)
    raster = _raster(tones, names, px_per_mm)
    widths = {name: fineness(raster, name, (1.0, 1.0), finest)[0] for name in names}
    unlaid = np.any([too_fine(raster, name, (1.0, 1.0), finest)[2:-2, 2:-2] for name in names], axis=0)
    notes = (
        *flat.notes,
        *rules,
        *_doubts(inked, drawn, tones, sketch, lines),
        *_widths(tones, widths, unlaid, finest, sketch, names),
    )
    return CleanSketch(colours[tones], flat.sheet, colours, px_per_mm, flat.corners, raster, widths, unlaid, notes)


@kept
def _photo(path: Path, stamp: tuple[int, int]) -> _Photo:  # noqa: ARG001 - a changed file is new
    photo = read_photograph(path)
    return _Photo(photo.pixels, photo.notes, find_corners(photo.light))


@kept
def _straight(
    path: Path,
    stamp: tuple[int, int],
    given: Corners | None,
    crop: tuple[float, float, float, float],
) -> _Straight:
    photo = _photo(path, stamp)
    notes = list(photo.notes)
    corners = given or photo.corners or WHOLE
    height, width = photo.pixels.shape[:2]
    whole = corners == WHOLE
    ratio = width / height if whole else proportion(corners, width, height)
    if whole:
        notes.append(
            say("No sheet stands out from what it lies on: the whole picture is taken. Set its corners if it is askew.")
        )
    else:
        kind = "as set by hand" if given else "as seen in the picture"
        notes.append(
            say("The sheet is laid straight by its corners, {}; it is {} times as wide as high.", kind, f"{ratio:.2f}")
        )
    left, top, right, bottom = crop
    piece = ratio * (right - left) / (bottom - top)
    size = (round(LONGER_SIDE * min(1.0, piece)), round(LONGER_SIDE * min(1.0, 1 / piece)))
    return _Straight(lay_flat(photo.pixels, cut_out(corners, crop), size), corners, tuple(notes))


@kept
def _dark(
    path: Path, stamp: tuple[int, int], given: Corners | None, crop: tuple[float, float, float, float]
) -> tuple[Float32, tuple[Sentence, ...]]:
    """Return how dark the straight sheet is, without the paper's own lines, and a note where there were any."""
    straight = _straight(path, stamp, given, crop)
    left, top, right, bottom = crop
    dark, directions = take_rules_off(darkness(straight.sheet))
    if straight.corners != WHOLE:
        rim = round(RIM * LONGER_SIDE)
        ends = (
            (left == 0, np.s_[:, :rim]),
            (top == 0, np.s_[:rim]),
            (right == 1, np.s_[:, -rim:]),
            (bottom == 1, np.s_[-rim:]),
        )
        for at_edge, there in ends:
            if at_edge:
                dark[there] = 0
    if not directions:
        return dark, ()
    told = "{} lines of the paper are taken off; a drawn line as pale and straight is lost with them."
    return dark, (say(told, "Ruled" if directions == 1 else "Checked"),)


def _raster(tones: Tones, names: tuple[str, ...], px_per_mm: float) -> Raster:
    held = np.pad(tones, 1, mode="edge") == np.arange(len(names))[:, None, None]
    return Raster(Cells(names, held.astype(np.float32)), (1 / px_per_mm, 1 / px_per_mm), 0.0, ())


def _doubts(inked: Float32, drawn: Tones, tones: Tones, sketch: Sketch, lines: bool) -> list[Sentence]:
    """Return what is doubtful about a drawing as it was read, its strokes as dark as ``inked``."""
    notes = []
    paper = len(sketch.powders) - 1
    if inked.size and float(np.quantile(inked, 0.75)) < PALE:
        notes.append(say("The drawing is pale, and what is a stroke is a guess: go over it with a felt pen."))
    if lines and not sketch.fill:
        notes.append(
            say(
                "It is drawn in outlines only: the lines become steel, not what they close in. Have it filled if that "
                "is meant."
            )
        )
    lost = float(((tones == paper) & (drawn < paper)).sum() / max(1, (drawn < paper).sum()))
    if lost > LOST:
        told = "{} of what is drawn is narrower than {} at this size and is left out."
        notes.append(say(told, f"{lost:.0%}", mm(sketch.smallest)))
    return notes


def _widths(
    tones: Tones, widths: Mapping[str, float], unlaid: Mask, finest: float, sketch: Sketch, names: tuple[str, ...]
) -> list[Sentence]:
    """Return how fine the pattern is, and what of it cannot be laid."""
    high = sketch.width * tones.shape[0] / tones.shape[1]
    told = " and ".join(["the finest {} is {}"] * len(names))
    parts = [part for name in names for part in (name, mm(widths[name], form=".2g"))]
    notes = [say("At {} " + told + " wide.", mm(sketch.width, high, form=".1f"), *parts)]
    for tone, name in enumerate(names):
        share = float(unlaid[tones == tone].mean()) if (tones == tone).any() else 0.0
        if share > LOST:
            words = (
                "{} of the {} lies in lines under {}, too narrow to be filled between dividers: draw them wider, or "
            )
            notes.append(say(words + "make the pattern larger.", f"{share:.0%}", name, mm(finest)))
    return notes
