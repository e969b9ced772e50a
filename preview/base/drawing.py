"""A flat drawing as it was read: its shapes in millimetres, and how much of one is taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.base.settings import LARGEST, MM_PER_INCH
from preview.base.units import Sentence

Unit = Literal["mm", "inch", "px"]
PX_PER_INCH = 96.0
"""Pixels in an inch: CSS Values and Units Module Level 3, section 6.2."""

MM_OF: Mapping[Unit, float] = {"mm": 1.0, "inch": MM_PER_INCH, "px": MM_PER_INCH / PX_PER_INCH}
"""How many mm a unit is."""

Colour = tuple[int, int, int]
Points = NDArray[np.float64]

MOST_POINTS = 400_000
MOST_NUMBERS = 4 * MOST_POINTS
"""Points of a drawing that are taken, and numbers that may stand in its file."""


@dataclass(frozen=True, eq=False)
class Shape:
    """One shape of a drawing.

    Parameters
    ----------
    lines
        Its lines (n, 2), mm, rightwards and upwards; closed ones end where they start.
    fill
        The colour that it is filled with, RGB bytes; None where it is not.
    rule
        How lines within lines are filled.
    layer, colour
        In a DXF the layer that it lies on, in an SVG its class; in a DXF its colour, RGB bytes, None where it has none
        of its own.
    """

    lines: tuple[Points, ...]
    fill: Colour | None = None
    rule: Literal["nonzero", "evenodd"] = "nonzero"
    layer: str = ""
    colour: Colour | None = None


@dataclass(frozen=True)
class LeftOut:
    """What stands in a drawing and is not read: of what kind, and a place of it, mm, rightwards and upwards."""

    kind: str
    at: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Drawing:
    """A flat drawing.

    Parameters
    ----------
    shapes
        Its shapes, from the lowest up.
    page
        Its page where it states one: left, low, right, top, mm.
    left_out
        What is in it and is not read, such as text.
    notes
        How it was read.
    """

    shapes: tuple[Shape, ...]
    page: tuple[float, float, float, float] | None
    left_out: tuple[LeftOut, ...]
    notes: tuple[Sentence, ...]

    @property
    def has_text(self) -> bool:
        """Whether there is text in it."""
        return any(each.kind == "text" for each in self.left_out)


class TooMuch(Exception):
    """A drawing that is too large, with the reason."""


def too_many_points() -> TooMuch:
    """Return what is wrong where a drawing has more points than are taken."""
    return TooMuch(f"over {MOST_POINTS} points are too many; simplify the drawing")


class Counted:
    """Makes the lines of a drawing, as long as they are not too many, and none reaches too far."""

    def __init__(self) -> None:
        self.points = 0

    def line(self, points: Iterable[tuple[float, float]]) -> Points:
        """Return a line of points (n, 2), mm."""
        taken = list(islice(points, MOST_POINTS + 1 - self.points))
        self.points += len(taken)
        if self.points > MOST_POINTS:
            raise too_many_points()
        return np.array(taken, dtype=float).reshape(-1, 2)


def check_reach(*places: float) -> None:
    """Raise where places (mm) are farther than any drawing goes."""
    if not max(map(abs, places), default=0.0) <= LARGEST:
        msg = f"it reaches over {LARGEST / 1000:g} m; a drawing in mm is needed"
        raise TooMuch(msg)


def counts(line: Points) -> bool:
    """Return whether a line goes anywhere, and nowhere that is no place."""
    return len(line) > 1 and bool(np.isfinite(line).all()) and bool((line != line[0]).any())
