"""How far long work has come: its loops say so, and who wants to know listens."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

Listener = Callable[[str, float], None]
"""Is told what is being worked on, and which share of it (0 to 1) is done."""

_LISTENER: ContextVar[Listener | None] = ContextVar("listener", default=None)
_Thing = TypeVar("_Thing")


@contextmanager
def listening(listener: Listener) -> Iterator[None]:
    """Tell ``listener`` how far the work inside the ``with`` block has come.

    Examples
    --------
    >>> with listening(lambda what, done: print(f"{what} {done:.0%}")):
    ...     for angle in counted("grinds", (4, 5)):
    ...         pass
    grinds 0%
    grinds 50%
    grinds 100%
    """
    token = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(token)


def counted(what: str, things: Sequence[_Thing]) -> Iterator[_Thing]:
    """Go through ``things``, and tell who listens how many are done."""
    listener = _LISTENER.get()
    for number, thing in enumerate(things):
        if listener is not None:
            listener(what, number / len(things))
        yield thing
    if listener is not None:
        listener(what, 1.0)
