"""The pattern's settings: its picture, and how it lies in the can."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, floor, radians, sin
from typing import Annotated, Literal

from PIL import ImageColor

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Angle, Control, Length, PositiveLength, Settings
from preview.base.words import brief

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
    see it. Its middle lies ``at`` mm rightwards and upwards of the can's, and it is turned by ``turn`` degrees
    counter-clockwise, as the dividers see it; both need a size. ``dividers`` run ``through`` the blade (the picture
    lies on the can's floor, columns along, top row at +across) or ``along`` it (the picture stands across the can,
    columns across, top row at +through). Round a smaller picture lies ``surround``, by default the first powder.
    Transparent pixels are ``void`` or the powder named.
    """

    picture: str
    size: Annotated[
        tuple[PositiveLength, PositiveLength] | None,
        Control("Picture width", "mm", offer="In its own proportions", start=(60.0, 20.0)),
    ] = None
    at: Annotated[
        tuple[Length, Length],
        Control("Off the middle", unit="mm", ends=("rightwards", "upwards"), step=0.5),
    ] = (0.0, 0.0)
    turn: Annotated[Angle, Control("Turned", unit="°", help="Counter-clockwise, as the dividers see it.", step=5)] = 0.0
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

    def limits(self, room: tuple[float, float]) -> Iterator[Limit]:
        """Yield how large the picture may be, and how far from the middle, in a can of ``room`` mm as it lies there."""
        if self.size is None:
            return
        most = fitted_size(self.size, room, self.turn)[0]
        yield Limit("size", self.size[0], most, "this can", fine=0.01)
        for place, (side, space) in enumerate(zip(box_of(self.size, self.turn), room, strict=True)):
            for way in (1, -1):
                bound = way * max(space - side, 0) / 2
                yield Limit(f"at[{place}]", self.at[place], bound, "this can", most=way > 0, fine=0.01)

    @property
    def placed(self) -> bool:
        """Whether the picture is moved out of the can's middle, or turned."""
        return self.turn != 0 or any(self.at)


def box_of(size: tuple[float, float], turn: float) -> tuple[float, float]:
    """Return width and height of the upright box round a picture of ``size`` that is turned by ``turn`` degrees.

    Examples
    --------
    >>> [round(side, 6) for side in box_of((30.0, 20.0), 90)]
    [20.0, 30.0]
    """
    wide, high = abs(cos(radians(turn))), abs(sin(radians(turn)))
    return size[0] * wide + size[1] * high, size[0] * high + size[1] * wide


def fitted_size(pixels: tuple[float, float], room: tuple[float, float], turn: float = 0.0) -> tuple[float, float]:
    """Return width and height (mm) of the largest picture, in its own proportions, that fits into ``room`` (mm).

    Of ``pixels`` only the proportions count.

    Examples
    --------
    >>> fitted_size((400, 100), (75, 26))
    (75.0, 18.75)
    """
    width, height = pixels
    scale = min(space / side for space, side in zip(room, box_of((width, height), turn), strict=True))
    return width * scale, height * scale


def round_down(size: tuple[float, float]) -> tuple[float, float]:
    """Return a size (mm) as the program chooses one: tenths, not larger than ``size``, and a tenth at least.

    Examples
    --------
    >>> round_down((36.465638, 26.0)), round_down((75.0, 0.02))
    ((36.4, 26.0), (75.0, 0.1))
    """
    width, height = (max(1, floor(side * 10 + 1e-6)) / 10 for side in size)
    return width, height


def colour_problem(text: str) -> str | None:
    """Return what is wrong with a colour's name, or None."""
    try:
        ImageColor.getrgb(text)
    except ValueError:
        return f"a colour such as '#1a2b3c' or 'black' is needed; given {brief(text)}"
    return None
