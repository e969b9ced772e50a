"""The outline of a cut-out template in a photograph, in millimetres, as if somebody had drawn it with care."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians
from pathlib import Path

import numpy as np
import shapely

from preview.base.arrays import Array, Float32
from preview.base.cache import kept
from preview.base.errors import FileError
from preview.base.paper_corners import WHOLE, Corners, find_corners, lay_flat_layer, on_sheet, proportion
from preview.base.papers import PAPERS, PaperName
from preview.base.photographs import LARGEST_PHOTO, read_photograph
from preview.base.units import Sentence, mm, say
from preview.blade.outlines.orienting import straightest
from preview.blade.outlines.ruler import Ruler
from preview.blade.outlines.standing_out import Ground, Thing

PHOTOGRAPHS = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp")

SIMPLER = 0.05
"""How far (mm) the outline may stray from the contour seen, for having fewer points."""

RULER_FILLS = 0.95
"""Share of its rectangle that a ruler fills at least; no blade does."""

LIKE = 0.4
"""Share of the largest thing's area over which another one might as well be the template."""

RIM = 0.012
"""Share of the sheet's longer side along its rim that is left out: table that still shows there."""

OTHER_PAPER = 0.05
"""By how much of itself the sheet's proportion may be off that of the paper stated."""

LONGEST_PAPER = 2.0
"""Proportion under which what has four corners is a sheet of paper, though its size is not stated."""

DISAGREE = 0.01
"""By how much of itself a length may differ as the ruler and the paper tell it, before it is worth a word."""

SQUARED = (0.5, 1.0, 2.0)
"""By how much (mm) a heel's end that is cut aslant, or seen so, is set square; the least that does."""


@dataclass(frozen=True)
class Told:
    """What is stated of a photograph.

    Parameters
    ----------
    paper
        The paper that the template lies on.
    ruler
        Two places of known distance.
    length
        The template's length, mm, tang and all, at least nearly; it is only to stand for the others.
    level
        Whether the outline is to be laid level.
    """

    paper: PaperName | None = None
    ruler: Ruler | None = None
    length: float | None = None
    level: bool = True


@dataclass(frozen=True, eq=False)
class _Seen:
    """A template's contour (n, 2), px rightwards and downwards, in a photograph or on a sheet laid flat.

    ``size`` is that picture's (columns, rows), ``per_mm`` its pixels in a millimetre where the paper tells, and
    ``part`` what of the sheet it shows: left, top, right, bottom, in shares.
    """

    contour: Array
    size: tuple[int, int]
    per_mm: float | None
    corners: Corners
    part: tuple[float, float, float, float]
    notes: tuple[Sentence, ...]


def trace_template(path: Path, content: bytes, told: Told) -> tuple[Array, tuple[Sentence, ...]]:
    """Return the outline of the template in a photograph, ``(n, 2)``, mm, x to the right and y up, and notes.

    Parameters
    ----------
    path
        The photograph.
    content
        What stands in it.
    told
        What is stated of it.

    Raises
    ------
    FileError
        If it cannot be read, no template or more than one is seen, or nothing tells how large it is.
    """
    seen = _seen(path, content, told.paper)
    per_mm, notes = _scale(path, seen, told)
    ring = seen.contour * (1, -1) / per_mm
    if told.level:
        turn = -straightest(ring)
        angle = np.radians(turn)
        ring = ring @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        notes.append(say("The template is turned by {}° to lie level.", f"{turn:.1f}"))
    ring, squared = _squared(ring)
    if squared > SQUARED[0]:
        notes.append(say("Its blunt end leans by up to {}; it is taken as square.", mm(squared, form=".1f")))
    simple = shapely.simplify(shapely.linearrings(ring), SIMPLER)
    notes.append(say("Its outline is followed within {}.", mm(SIMPLER)))
    return np.asarray(shapely.get_coordinates(simple))[:-1], (*seen.notes, *notes)


@kept
def _seen(path: Path, content: bytes, paper: PaperName | None) -> _Seen:  # noqa: ARG001 - a changed file is new
    photo = read_photograph(path)
    light, per_mm = photo.light, None
    corners, part = WHOLE, (0.0, 0.0, 1.0, 1.0)
    notes = list(photo.notes)
    sheet = find_corners(light)
    if sheet is None and paper is not None:
        msg = f"{path}: no sheet of paper is seen whole in it; all four corners have to show, on a darker table"
        raise FileError(msg)
    if sheet is not None and (paper is not None or _is_paper(sheet, light)):
        light, per_mm, part = _laid_flat(path, light, sheet, paper)
        corners = sheet
        named = "" if paper is None else f", {paper.upper()}"
        notes.append(say("The photograph is straightened by the corners of the paper{}.", named))
    else:
        notes.append(
            say(
                "The photograph is taken as square on: a camera that leans by 5° shortens one way by {}, by 10° by {}, "
                "and the far end more than the near one.", *(f"{1 - cos(radians(lean)):.1%}" for lean in (5, 10)),
            )
        )  # fmt: skip
    ground = Ground.of(light)
    if ground is None:
        msg = f"{path}: no plain ground is seen round a template; lay it on a sheet or a cloth of one tone"
        raise FileError(msg)
    thing, told = _template(path, ground.things)
    notes += told
    contour = ground.contour(thing)
    return _Seen(contour, (light.shape[1], light.shape[0]), per_mm, corners, part, tuple(notes))


def _is_paper(corners: Corners, light: Float32) -> bool:
    """Say whether a sheet has a paper's proportions; a ruler has not."""
    ratio = proportion(corners, light.shape[1], light.shape[0])
    return max(ratio, 1 / ratio) < LONGEST_PAPER


def _laid_flat(
    path: Path, light: Float32, corners: Corners, paper: PaperName | None
) -> tuple[Float32, float | None, tuple[float, float, float, float]]:
    """Return the sheet's light laid flat, without its rim, its pixels in a millimetre, and what of it that is.

    Where the paper is not stated its proportions are those seen, and a millimetre is not known.
    """
    rows, columns = light.shape
    ratio = proportion(corners, columns, rows)
    long, short = PAPERS[paper] if paper else (max(ratio, 1 / ratio), 1.0)
    size = np.array((long, short) if ratio > 1 else (short, long))
    if paper and abs(max(ratio, 1 / ratio) / (long / short) - 1) > OTHER_PAPER:
        seen, meant = f"{max(ratio, 1 / ratio):.2f}", f"{long / short:.2f}"
        msg = f"{path}: the sheet seen in it is {seen} times as long as wide, {paper.upper()} is {meant}; "
        raise FileError(msg + "state the paper that it is")
    sides = np.diff(np.array([*corners, corners[0]]) * (columns, rows), axis=0)
    per_mm = float(max(np.hypot(*side) / size[way % 2] for way, side in enumerate(sides)))
    per_mm = min(per_mm, float(np.sqrt(LARGEST_PHOTO / size.prod())))
    columns, rows = np.rint(size * per_mm).astype(int)
    flat = lay_flat_layer(light, corners, (int(columns), int(rows)))
    rim = round(RIM * max(flat.shape))
    part = (rim / columns, rim / rows, 1 - rim / columns, 1 - rim / rows)
    return flat[rim:-rim, rim:-rim], float(columns / size[0]) if paper else None, part


def _template(path: Path, things: tuple[Thing, ...]) -> tuple[Thing, list[Sentence]]:
    """Return which of the things in a photograph is the template, and how that was told."""
    if not things:
        msg = f"{path}: no template stands out in it; lay a dark one on light ground, or a light one on dark ground"
        raise FileError(msg)
    rulers = [thing for thing in things if thing.fills >= RULER_FILLS]
    others = [thing for thing in things if thing.fills < RULER_FILLS]
    if not others:
        msg = f"{path}: only a plain rectangle stands out in it, such as a ruler; a template of a blade is needed"
        raise FileError(msg)
    first = others[0]
    like = sum(thing.area > LIKE * first.area for thing in others)
    if like > 1:
        msg = f"{path}: {like} shapes of like size stand out in it; leave only the template, and a ruler, in sight"
        raise FileError(msg)
    if first.cut_off:
        msg = f"{path}: the template runs off the rim of what is seen; take the photograph so that all of it shows"
        raise FileError(msg)
    beside = " (a ruler is seen beside it)" if rulers else ""
    tone = "dark" if first.tone < 1 else "light"
    return first, [say("The largest {} shape is taken for the template{}.", tone, beside)]


def _scale(path: Path, seen: _Seen, told: Told) -> tuple[float, list[Sentence]]:
    """Return the pixels of a picture in a millimetre, and notes on who tells."""
    notes: list[Sentence] = []
    if told.ruler is not None:
        left, top, right, bottom = seen.part
        places = told.ruler.places if seen.corners == WHOLE else on_sheet(told.ruler.places, seen.corners)
        places = (places - (left, top)) / (right - left, bottom - top) * seen.size
        per_mm = float(np.hypot(*(places[0] - places[1]))) / told.ruler.apart
        notes.append(say("A millimetre is {} pixels, by the marks {} apart.", f"{per_mm:.2f}", mm(told.ruler.apart)))
        if seen.per_mm is not None and abs(per_mm / seen.per_mm - 1) > DISAGREE:
            by_paper = mm(told.ruler.apart * per_mm / seen.per_mm, form=".1f")
            notes.append(say("By the paper the marks would be {} apart: check both.", by_paper))
        return per_mm, notes
    if seen.per_mm is not None:
        notes.append(say("A millimetre is {} pixels, by the size of the paper.", f"{seen.per_mm:.2f}"))
        return seen.per_mm, notes
    if told.length is not None:
        box = shapely.minimum_rotated_rectangle(shapely.Polygon(seen.contour))
        sides = np.hypot(*np.diff(np.asarray(shapely.get_coordinates(box))[:3], axis=0).T)
        return float(sides.max()) / told.length, notes
    msg = f"{path}: nothing tells how large the template is; state length, two marks of a ruler, or the paper"
    raise FileError(msg)


def _squared(ring: Array) -> tuple[Array, float]:
    """Return a level ring with its broad end set square, and within how much (mm) of it that was done."""
    x, y = ring.T
    for near in SQUARED:
        for end, way in ((x.min(), 1), (x.max(), -1)):
            there = (x - end) * way < near
            if np.ptp(y[there]) > 0.6 * np.ptp(y):
                square = ring.copy()
                square[there, 0] = np.median(x[there])
                return square, near
    return ring, 0.0
