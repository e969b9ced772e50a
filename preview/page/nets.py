"""The last nets: whatever fails, the visitor reads plain words and keeps his work, and no log tells his link."""

from __future__ import annotations

import logging
import re
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import streamlit as st

LOG = logging.getLogger("preview.page")

WENT_WRONG = (
    "Something went wrong in the program; it is not your fault. Your work is kept as it was before the last change. "
    "Take that change back with Undo, or reload the page. If it comes again, save your work and send it to whoever "
    "looks after the program, with a word on what you did."
)

_SECRET = re.compile(r"[0-9a-f]{24}")
"""The part of a link that opens somebody's work; see `preview.job.work`."""


@contextmanager
def last_net() -> Iterator[None]:
    """Say in plain words that something failed which nobody foresaw, and log what it was for those who can mend it."""
    try:
        yield
    except Exception:
        LOG.exception("not foreseen on the page")
        st.error(WENT_WRONG)


def hide_links() -> None:
    """Keep the links to visitors' work out of all that is logged from now on."""
    make = logging.getLogRecordFactory()
    if getattr(make, "hides_links", False):
        return

    def record(*given: Any, **known: Any) -> logging.LogRecord:
        made = make(*given, **known)
        made.msg, made.args = without_links(made.getMessage()), ()
        if made.exc_info and made.exc_info[0]:
            made.exc_text = without_links("".join(traceback.format_exception(*made.exc_info)).rstrip())
        return made

    record.hides_links = True  # type: ignore[attr-defined]
    logging.setLogRecordFactory(record)


def without_links(text: str) -> str:
    """Return text without what opens somebody's work.

    Examples
    --------
    >>> without_links("/?work=0123456789abcdef01234567&demo=x")
    '/?work=...&demo=x'
    """
    return _SECRET.sub("...", text)
