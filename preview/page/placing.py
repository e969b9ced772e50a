"""A drawing laid over a picture: moved, sized and turned with mouse, finger and keys, or by numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import copysign, floor
from typing import Protocol

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.board import BOARD
from preview.page.hand import Hand
from preview.page.showing import data_url

FINE = 1
"""Decimals of a millimetre, and of a degree, that a hand on the screen sets."""


LEAST = 1.0
"""Least width (mm) that a hand sets."""


class Frame(Protocol):
    """The way between a picture (shares of its sides, rightwards and downwards) and what it shows (mm)."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the picture, mm."""

    def to_picture(self, first: float, second: float, /) -> tuple[float, float]:
        """Return where a place lies on the picture."""

    def from_picture(self, right: float, down: float, /) -> tuple[float, float]:
        """Return the place at a spot of the picture."""


@dataclass(frozen=True)
class Place:
    """Where a drawing stands.

    Parameters
    ----------
    at
        Its middle, in the frame of what it is laid on, mm.
    width
        Its width, mm.
    turn
        Degrees it is turned counter-clockwise, as seen on the picture.
    """

    at: tuple[float, float]
    width: float
    turn: float


def shares_of(frame: Frame, place: Place) -> tuple[float, float, float, float]:
    """Return a place as the screen has it: middle in shares of the picture's sides, width in shares of its width."""
    return (*frame.to_picture(*place.at), place.width / frame.size[0], place.turn)


def place_at(frame: Frame, right: float, down: float, width: float, turn: float) -> Place:
    """Return the place that the screen tells; undoes `shares_of`, but for what is finer than a hand can set."""
    first, second = frame.from_picture(right, down)
    turned = (turn + 180) % 360 - 180
    return Place(
        (round(first, FINE), round(second, FINE)), round(width * frame.size[0], FINE), round(turned, FINE)
    )  # fmt: skip


def kept_inside(place: Place, wide: float, room: tuple[float, float]) -> Place:
    """Return the place nearest to ``place`` at which a drawing lies wholly inside ``room``.

    Parameters
    ----------
    place
        Where it is wanted, from the room's middle.
    wide
        Its width over its height.
    room
        Width and height, mm.
    """
    most, _ = preview.fitted_size((wide, 1), room, place.turn)
    width = place.width if place.width <= most else _down(most)
    box = preview.box_of((width, width / wide), place.turn)
    first, second = (
        at if abs(at) <= (space - side) / 2 else copysign(_down((space - side) / 2), at)
        for at, space, side in zip(place.at, room, box, strict=True)
    )
    return replace(place, at=(first, second), width=width)


def _down(number: float) -> float:
    """Return the largest number of no more than `FINE` decimals that is not above a positive one."""
    steps = 10.0**FINE
    return max(0.0, floor(number * steps + 1e-6) / steps)


def why_not(asked: Place, kept: Place, labels: tuple[str, str]) -> tuple[str, ...]:
    """Return why a drawing in the can stands at ``kept`` and not as ``asked``, its middle called ``labels``."""
    said, length = [], units().length
    if kept.width != asked.width:
        bound = "largest there is room for" if kept.width < asked.width else "smallest that can be set"
        said.append(f"It is {length(kept.width)} wide, the {bound}; {length(asked.width)} was asked.")
    sides = ("width", "height")
    for label, side, given, had in zip(labels, sides, asked.at, kept.at, strict=True):
        if given != had and not had:
            said.append(f"It fills the can's {side}: no room to move.")
        elif given != had:
            said.append(f"{label}: {length(had)} is as far as the can's wall lets it; {length(given)} was asked.")
    return tuple(said)


KEYS = (
    "Drag it, its corners, or the round handle that turns it; or type. Keys: arrows move it (with Shift ten times as "
    "far), + and - size it, [ and ] turn it, Esc takes the change back."
)


@dataclass(frozen=True)
class Placing(Hand[Place]):
    """A drawing that is being placed, on the screen or by numbers.

    Parameters
    ----------
    frame
        The way between the picture it is placed on and what that shows.
    labels
        What its middle's two numbers are called.
    bound
        Gives, for a place that is asked for, the one nearest to it that can be had.
    """

    frame: Frame
    labels: tuple[str, str]
    bound: Callable[[Place], Place] = lambda place: place

    def kept(self, place: Place) -> Place:
        """Return the place nearest to one that is asked for that can be had."""
        least = min(LEAST, self.stands().width)
        return self.bound(place if place.width >= least else replace(place, width=least))

    def on_picture(
        self,
        pictures: tuple[bytes, bytes],
        words: tuple[str, str],
        wide: float,
        *,
        span: tuple[float, float] = (0.0, 1.0),
        strength: int = 70,
        most: int = 62,
    ) -> None:
        """Show the picture (JPEG) with the drawing (PNG) over it, to be moved, sized and turned there.

        Parameters
        ----------
        pictures, words
            Picture and drawing, and what they are.
        wide
            Width over height of the drawing as it is laid.
        span
            Shares of the picture's height that the drawing's middle stays between.
        strength
            How opaque the drawing is at first, per cent.
        most
            Height that the picture has at most, per cent of the window's.
        """
        width, height = self.frame.size
        data = {
            "picture": data_url(pictures[0], "jpeg"), "drawing": data_url(pictures[1], "png"), "alt": words[0],
            "name": words[1], "place": shares_of(self.frame, self.stands()), "mm": 1 / width, "wide": wide,
            "tall": height / width, "span": span, "strength": strength, "most": most,
        }  # fmt: skip
        self.on_board(BOARD, data, lambda shares: place_at(self.frame, *shares))

    def by_numbers(self) -> None:
        """Show the place in numbers that can be typed."""
        place = self.stands()
        first, second, third, fourth = st.columns(4)
        beside, above = place.at
        self.number(
            first, self.labels[0], beside, lambda now, typed: replace(now, at=(typed, now.at[1])), unit="mm", step=1.0
        )
        self.number(
            second, self.labels[1], above, lambda now, typed: replace(now, at=(now.at[0], typed)), unit="mm", step=1.0
        )
        self.number(third, "Its width", place.width, lambda now, typed: replace(now, width=typed), unit="mm", step=1.0)
        self.number(fourth, "Turned", place.turn, lambda now, typed: replace(now, turn=typed), unit="°", step=5.0)
        if self.typed is not None:
            for why in why_not(self.typed, place, self.labels):
                st.warning(why)
        st.caption(KEYS)
