"""The four corners of something that lies flat in a photograph, set there by hand or by numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from preview.page.corners import CORNERS_BOARD
from preview.page.hand import Hand
from preview.page.showing import data_url

Corners = tuple[tuple[float, float], ...]

CORNERS = ("Upper left", "Upper right", "Lower right", "Lower left")

MOST = 58
"""Height that the photograph has at most, per cent of the window's."""


@dataclass(frozen=True)
class FourCorners:
    """The corners of a thing in a photograph; where nothing is set, as they were found.

    Parameters
    ----------
    name
        What the widgets are kept by.
    thing
        What it is, with its article.
    asked
        Where ``corners`` are kept once they are set.
    picture, tall
        The photograph (JPEG), and its height over its width.
    found
        The corners as they were found.
    """

    name: str
    thing: str
    asked: dict[str, Any]
    picture: bytes
    tall: float
    found: Corners

    @property
    def _hand(self) -> Hand[Corners]:
        def moved(corners: Corners) -> None:
            self.asked["corners"] = corners

        return Hand(self.name, lambda: self.corners, moved)

    @property
    def corners(self) -> Corners:
        """The corners, in shares of the photograph, from the upper left one clockwise."""
        return tuple(self.asked.get("corners", self.found))

    def on_photo(self) -> None:
        """Show the photograph with the corners on it, to be dragged there."""
        data = {
            "picture": data_url(self.picture, "jpeg"), "alt": f"The photograph of {self.thing}.", "thing": self.thing,
            "tall": self.tall, "place": self.corners, "most": MOST,
        }  # fmt: skip
        self._hand.on_board(CORNERS_BOARD, data, lambda places: tuple((right, down) for right, down in places))
        with st.container(horizontal=True, vertical_alignment="center"):
            st.caption(
                f"Drag each ring onto its corner of {self.thing}. Keys: Tab goes from corner to corner, arrows move it "
                "(with Shift ten times as far), Esc takes the change back."
            )
            st.button(
                "Find them again", key=f"find {self.name}", on_click=self._find_again,
                disabled="corners" not in self.asked,
            )  # fmt: skip

    def by_numbers(self) -> None:
        """Show the corners in numbers that can be typed."""
        hand = self._hand
        st.caption("The corners, in hundredths of the photo's width from the left, and of its height from the top.")
        for column, name, corner, number in zip(st.columns(4), CORNERS, self.corners, range(4), strict=True):
            for way, axis in (("across", 0), ("down", 1)):
                hand.number(
                    column, f"{name}, {way}", 100 * corner[axis], _setting(number, axis), min_value=-10.0,
                    max_value=110.0, step=0.1, format="%.1f",
                )  # fmt: skip

    def _find_again(self) -> None:
        self.asked.pop("corners", None)


def _setting(number: int, axis: int) -> Callable[[Corners, float], Corners]:
    """Return what sets one coordinate of a corner, in hundredths."""

    def change(corners: Corners, typed: float) -> Corners:
        places = [list(corner) for corner in corners]
        places[number][axis] = typed / 100
        return tuple((right, down) for right, down in places)

    return change
