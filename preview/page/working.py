"""Long work on the page: how far it has come, and a way to stop it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import streamlit as st

import preview

SHOWN_AFTER = 0.5
"""Seconds after which work is long: what is done sooner shows no bar."""
BEAT = 0.15
"""Seconds between two movements of the bar; at each the page hears whether it is to stop."""

STOPPABLE = '<style>[data-test-script-state="running"] .st-key-stop { display: block; }</style>'
"""Shows the button that stops the work, as long as the bar is there."""

_Made = TypeVar("_Made")


def stop_button() -> None:
    """Offer to stop long work; seen only while a bar is (`preview.page.dress`).

    It stands outside of the bench: Streamlit lets what is changed within a fragment wait until that has run.
    """
    with st.container(key="stop"):
        st.button("Stop", key="stop_work", on_click=_stop)


def _stop() -> None:
    name, of = st.session_state.pop("doing", ("", None))
    st.session_state[f"stopped {name}"] = of


@contextmanager
def working(words: str, name: str = "", of: object = None) -> Iterator[None]:
    """Show how far the work in the ``with`` block has come, once it is long; it can be stopped then.

    Parameters
    ----------
    words
        What is being done.
    name, of
        What it is stopped by, and what for; see `unless_stopped`.
    """
    place = st.empty()
    started = time.monotonic()
    bar: Any = None
    moved = 0.0

    def hear(_: str, done: float) -> None:
        nonlocal bar, moved
        now = time.monotonic()
        if now - started < SHOWN_AFTER or now - moved < BEAT:
            return
        moved = now
        if bar is None:
            with place.container():
                st.html(STOPPABLE)
                bar = st.empty()
        bar.progress(min(done, 1.0), text=words)

    st.session_state.doing = (name, of)
    try:
        with preview.listening(hear):
            yield
    except preview.PreviewError:  # it has ended, if otherwise than hoped for
        st.session_state.pop("doing", None)
        place.empty()
        raise
    st.session_state.pop("doing", None)
    place.empty()


def unless_stopped(name: str, words: str, of: object, make: Callable[[], _Made]) -> _Made | None:
    """Return what ``make`` gives; None where that was stopped for the same ``of``, with a button to do it all the same.

    Parameters
    ----------
    name
        What the work is kept by.
    words, of, make
        What is being done, what for, and the work.
    """
    stopped = f"stopped {name}"
    if st.session_state.get(stopped) == of:
        st.button("Work it out", key=f"go on {name}", on_click=lambda: st.session_state.pop(stopped))
        return None
    with working(words, name, of):
        return make()
