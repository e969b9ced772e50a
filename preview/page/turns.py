"""Whose turn it is: quick pictures go ahead, the rest in a queue of all visitors, and what is left behind is dropped.

Threads that reckon at once take turns at Python's lock all the same: each is then as late as the last of them, and a
quick picture, which has to take the lock some hundred times, waits for all of them each time. So what takes longer
stands in a queue.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Condition

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx
from streamlit.runtime.scriptrunner_utils.script_requests import ScriptRequestType

STILL = 0.25
"""Seconds in which nothing more is said after which a slider that is still in hand is taken to stand still."""
BEAT = 0.02
"""Seconds between two looks whether something newer is asked for."""


class Queue:
    """Work that is done one after the other, in the order of its coming."""

    def __init__(self) -> None:
        self._waiting: deque[object] = deque()
        self._moved = Condition()

    @contextmanager
    def turn(self, look: Callable[[], None] = lambda: None) -> Iterator[None]:
        """Wait for the turn of the ``with`` block; meanwhile, and before it, ``look``, which may leave by raising."""
        ticket = object()
        with self._moved:
            self._waiting.append(ticket)
        try:
            while not self._comes(ticket):
                look()
            look()
            yield
        finally:
            with self._moved:
                self._waiting.remove(ticket)
                self._moved.notify_all()

    def _comes(self, ticket: object) -> bool:
        with self._moved:
            return self._moved.wait_for(lambda: self._waiting[0] is ticket, BEAT)


_OF_ALL = Queue()


@contextmanager
def in_turn() -> Iterator[None]:
    """Let the ``with`` block wait until those of the other visitors who came before are served."""
    with _OF_ALL.turn(leave_for_newer):
        yield


def hear_change(*, moving: bool = False) -> None:
    """Note that the run that begins is one for a control's change; ``moving`` where it is still in hand."""
    st.session_state.update(changes=True, moving=time.monotonic() if moving else None)


def begin_run() -> None:
    """Begin a run of the bench: as long as a slider is moving, wait for what it says next."""
    st.session_state.pop("slider_told", None)
    st.session_state.leaves = st.session_state.pop("changes", False)
    moved = st.session_state.get("moving")
    while moved is not None and time.monotonic() < moved + STILL:
        leave_for_newer()
        time.sleep(BEAT)


def leave_for_newer() -> None:
    """End a run of the bench that has been left behind, by a newer change; the next one begins at once.

    A run that a button began goes on: what the button asks for is nowhere but in it.
    """
    context = get_script_run_ctx(suppress_warning=True)
    if context is None or not context.fragment_ids_this_run or not st.session_state.get("leaves"):
        return
    # what Streamlit has waiting is told nowhere in public; where it is not found, nothing is left
    if getattr(context.script_requests, "_state", None) is ScriptRequestType.RERUN:
        st.session_state.changes = True
        st.rerun(scope="fragment")
