"""What the boxes for numbers show: each is set only where it says another one; a visitor may be typing in it."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

ECHOES = 12
"""Numbers that a box showed last, one of which it may say again."""


@dataclass
class Box:
    """What is known of one box.

    Parameters
    ----------
    look
        Its bounds and its step: where these have changed it is a new one to Streamlit, and says nothing yet.
    showed
        What it showed last.
    on_its_way
        Whether it was set in a run that has not ended: where that is left, the browser may never hear of it.
    """

    look: tuple[Any, ...] = ()
    showed: deque[float] = field(default_factory=lambda: deque(maxlen=ECHOES))
    on_its_way: bool = False


def boxes() -> dict[str, Box]:
    """Return the boxes of the opened work, by widget key; under one key, for Streamlit's look through all there are."""
    known: dict[str, Box] = st.session_state.setdefault("number_boxes", {})
    return known


def set_box(widget_key: str, shown: float, look: tuple[Any, ...]) -> None:
    """Set what a box shows, where it does not: to say back what it does would undo what is pressed meanwhile."""
    box = boxes().setdefault(widget_key, Box())
    if st.session_state.get(widget_key) != shown or box.look != look or box.on_its_way:
        st.session_state[widget_key] = shown
        box.look, box.on_its_way = look, True
    if shown not in box.showed:
        box.showed.append(shown)


def all_arrived() -> None:
    """Note that the run has ended in which boxes were set."""
    for box in boxes().values():
        box.on_its_way = False


def is_echo(widget_key: str, typed: float) -> bool:
    """Return whether a box says what it showed before, with what a slider says: it was not set anew yet.

    The browser sends what all boxes show with each thing that it tells; to hear that would take the slider back.
    """
    box = boxes().get(widget_key)
    return bool(st.session_state.get("slider_told")) and box is not None and typed in box.showed
