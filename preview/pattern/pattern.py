"""The pattern's settings: its picture, and how it lies in the can."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from PIL import ImageColor

from preview.base.arrays import Array
from preview.base.settings import Control, PositiveLength, Settings

VOID = "void"


@dataclass(frozen=True)
class Direction:
    """Which way the dividers run: all that follows from it.

    Parameters
    ----------
    axes
        The can's axes (0 along, 1 across, 2 up) that the picture's width and height lie along.
    depth
        The axis that the dividers run along.
    """

    axes: tuple[int, int]
    depth: int

    @property
    def upright(self) -> bool:
        """Whether the dividers stand upright in the can, so that the picture is seen on the blade's face."""
        return self.depth == 2

    def seen(self, x: Array, y: Array, z: Array) -> tuple[Array, Array]:
        """Return where points of the can (along, across, up; mm) lie in the picture: rightwards and upwards, mm."""
        point = (x, y, z)
        return point[self.axes[0]], point[self.axes[1]]

    def area(self, inside: tuple[float, float, float]) -> tuple[float, float]:
        """Return width and height (mm) of a can's inside as the dividers see it."""
        return inside[self.axes[0]], inside[self.axes[1]]


DIRECTIONS = {"through": Direction((0, 1), 2), "along": Direction((1, 2), 0)}
"""By the name in the job file, which tells the direction in the blade."""


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

    @property
    def direction(self) -> Direction:
        """Which way the dividers run."""
        return DIRECTIONS[self.dividers]


def colour_problem(text: str) -> str | None:
    """Return what is wrong with a colour's name, or None."""
    try:
        ImageColor.getrgb(text)
    except ValueError:
        return f"a colour such as '#1a2b3c' or 'black' is needed; given {text!r}"
    return None
