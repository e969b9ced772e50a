"""What is said beside the controls: what is wrong there, and what had to move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

from preview.page.showing import plain

Path = tuple[Any, ...]
"""The keys, and numbers in lists, that lead to a place of the job."""


def where_of(path: Path) -> str:
    """Return the key path by which faults and limits tell a place of the job.

    Examples
    --------
    >>> where_of(("forging", 1, "heat"))
    'forging[1].heat'
    """
    parts = (f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)
    return "".join(parts).removeprefix(".")


@dataclass(frozen=True)
class Remark:
    """What is said beside a control: that something is wrong there, or that it had to move; in full, with its place."""

    text: str
    in_full: str
    wrong: bool


def has_remark(path: Path) -> bool:
    """Return whether there is something to be said about what is at ``path`` or below it."""
    where = where_of(path)
    remarks = st.session_state.get("remarks", {})
    return any(each == where or each.startswith((f"{where}.", f"{where}[")) for each in remarks)


def remark(path: Path) -> None:
    """Say what there is to be said about the field at ``path``, and what is below it and was not said yet."""
    remarks: dict[str, list[Remark]] = st.session_state.get("remarks", {})
    where = where_of(path)
    for place in [each for each in remarks if each == where or each.startswith((f"{where}.", f"{where}["))]:
        for each in remarks.pop(place):
            text = plain(each.text if place == where else each.in_full)
            if each.wrong:
                st.error(text)
            else:
                st.caption(text)
