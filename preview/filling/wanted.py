"""The picture wanted on the finished face, and where on the face it stands."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin
from pathlib import Path
from typing import Annotated, Literal

from preview.base.arrays import Array, Float32
from preview.base.settings import Angle, Control, Length, PositiveLength, Settings, Switch
from preview.blade.grind import Side
from preview.blade.outlines import Outline
from preview.pattern.pattern import Pattern
from preview.pattern.powders import Powder
from preview.pattern.raster import Raster, read_raster
from preview.pattern.sampler import Sampler


class Wanted(Settings):
    """A picture, and how it stands on the blade as one looks at the face with the edge down.

    Parameters
    ----------
    picture
        Path of the picture; its colours stand for powders as in the pattern.
    face
        ``right`` or ``left``: upright as one looks at that face; ``both``: upright on the right face, and on the
        left one as if seen through the blade, since dividers run through it.
    at
        Where its middle lies, blade frame (along, across), mm; by default the middle of the outline's box.
    size
        Width and height, mm. One number is the width; by default it is as large as the outline's box lets it be.
    turn
        Degrees it is turned counter-clockwise, as one looks at the face.
    swap
        What is drawn dark is wanted bright, and the other way round; what is not drawn on stays as it is.
    """

    picture: Path
    face: Literal["right", "left", "both"] = "right"
    at: tuple[Length, Length] | None = None
    size: tuple[PositiveLength, PositiveLength] | PositiveLength | None = None
    turn: Angle = 0.0
    swap: Annotated[
        Switch, Control("Swap dark and bright", help="What you drew dark is wanted bright, what you drew bright dark.")
    ] = False

    @property
    def sides(self) -> tuple[Side, ...]:
        """The faces it is wanted on."""
        return ("right", "left") if self.face == "both" else (self.face,)


class Placed:
    """A wanted picture, read and placed on a blade.

    Parameters
    ----------
    wanted, outline
        What is wanted, and the blade it is wanted on.
    powders, ground
        The job's powders, and the name of the one that lies round the picture and under its transparent pixels.
    """

    def __init__(self, wanted: Wanted, outline: Outline, powders: tuple[Powder, ...], ground: str) -> None:
        unit = read_wanted(wanted, powders, ground)
        rows, columns = (count - 2 for count in unit.shares.shape[1:])
        if isinstance(wanted.size, tuple):
            self.size = wanted.size
        else:
            width = wanted.size or min(outline.length, outline.height * columns / rows)
            self.size = (width, width * rows / columns)
        self.at = wanted.at or (outline.length / 2, outline.height / 2)
        self.raster = replace(unit, cell=(self.size[0] / columns, self.size[1] / rows))
        self._sampler = Sampler(self.raster)
        self._turn = radians(wanted.turn)
        self._mirrored = wanted.face == "left"

    def on_face(self, right: Array, up: Array) -> tuple[Array, Array]:
        """Carry points of the picture (mm from its middle, rightwards and upwards) to the blade: along, across."""
        beside = right * cos(self._turn) - up * sin(self._turn)
        above = right * sin(self._turn) + up * cos(self._turn)
        return self.at[0] + (-beside if self._mirrored else beside), self.at[1] + above

    def shares(self, along: Array, across: Array) -> Float32:
        """Return the share wanted of each class (classes first) at points of the blade (one shape, mm)."""
        beside, above = along - self.at[0], across - self.at[1]
        if self._mirrored:
            beside = -beside
        right = beside * cos(self._turn) + above * sin(self._turn)
        up = -beside * sin(self._turn) + above * cos(self._turn)
        return self._sampler.shares(*self._sampler.positions(right, up))


def read_wanted(wanted: Wanted, powders: tuple[Powder, ...], ground: str) -> Raster:
    """Return a wanted picture as shares of the powders on 1 x 1 mm; ``ground`` lies wherever nothing is drawn.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    if wanted.swap:  # the powder with the least nickel goes by the colours of the one with the most, and so on
        order = sorted(powders, key=lambda powder: powder.nickel)
        colours = {one.name: other.colours for one, other in zip(order, reversed(order), strict=True)}
        powders = tuple(powder.model_copy(update={"colours": colours[powder.name]}) for powder in powders)
    pattern = Pattern(picture=wanted.picture.name, size=(1.0, 1.0), surround=ground, transparent=ground)
    return read_raster(wanted.picture, pattern, powders, (1.0, 1.0))
