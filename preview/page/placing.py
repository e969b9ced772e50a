"""A drawing laid over a picture: moved, sized and turned with mouse, finger and keys, or by numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import copysign, floor
from typing import Protocol

import streamlit as st

import preview
from preview.page.asking import ask, key, units
from preview.page.board import BOARD
from preview.page.showing import data_url

FINE = 1
"""Decimals of a millimetre, and of a degree, that a hand on the screen sets."""


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


KEYS = (
    "Drag it, its corners, or the round handle that turns it; or type. Keys: arrows move it (with Shift ten times as "
    "far), + and - size it, [ and ] turn it, Esc takes the change back."
)


@dataclass(frozen=True)
class Placing:
    """A drawing that is being placed, on the screen or by numbers, which are one.

    Parameters
    ----------
    name
        What the widgets are kept by.
    frame
        The way between the picture it is placed on and what that shows.
    stands
        Says where it stands now.
    moved
        Called with the new place, before the page runs.
    labels
        What its middle's two numbers are called.
    bound
        Gives, for a place that is asked for, the one nearest to it that can be had.
    """

    name: str
    frame: Frame
    stands: Callable[[], Place]
    moved: Callable[[Place], None]
    labels: tuple[str, str]
    bound: Callable[[Place], Place] = lambda place: place

    @property
    def _told(self) -> str:
        """Key of how often the screen has told a place."""
        return f"{key(self.name)} told"

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
        stage, width = key(self.name), self.frame.size[0]

        def on_screen() -> None:
            placed = st.session_state[stage].get("placed")
            if placed:
                *shares, st.session_state[self._told] = placed
                self.moved(self.bound(place_at(self.frame, *shares)))

        BOARD(
            data={
                "picture": data_url(pictures[0], "jpeg"), "drawing": data_url(pictures[1], "png"), "alt": words[0],
                "name": words[1], "place": shares_of(self.frame, self.stands()), "mm": 1 / width, "wide": wide,
                "tall": self.frame.size[1] / width, "told": st.session_state.setdefault(self._told, 0), "span": span,
                "strength": strength, "most": most,
            },
            key=stage, on_placed_change=on_screen,
        )  # fmt: skip

    def by_numbers(self) -> None:
        """Show the place in numbers that can be typed."""
        place, told = self.stands(), st.session_state.setdefault(self._told, 0)
        first, second = place.at
        numbers = (
            (self.labels[0], first, "mm", 1.0, None, lambda now, typed: replace(now, at=(typed, now.at[1]))),
            (self.labels[1], second, "mm", 1.0, None, lambda now, typed: replace(now, at=(now.at[0], typed))),
            ("Its width", place.width, "mm", 1.0, min(1.0, place.width), lambda now, typed: replace(now, width=typed)),
            ("Turned", place.turn, "°", 5.0, None, lambda now, typed: replace(now, turn=typed)),
        )
        for column, (label, value, unit, step, least, change) in zip(st.columns(4), numbers, strict=True):
            # what the screen has told is shown by new widgets; what is typed stays in its own
            widget_key = key(self.name, label, told)
            ask(
                column, label, value, widget_key, unit=unit, step=step, min_value=least,
                on_change=self._typed, args=(widget_key, unit, change),
            )  # fmt: skip
        st.caption(KEYS)

    def _typed(self, widget_key: str, unit: str, change: Callable[[Place, float], Place]) -> None:
        number = st.session_state[widget_key]
        if number is None:
            return
        asked = change(self.stands(), units().kept(float(number), unit))
        place = self.bound(asked)
        self.moved(place)
        if place != asked:  # what was typed is not what is had: the numbers start anew
            st.session_state[self._told] += 1
