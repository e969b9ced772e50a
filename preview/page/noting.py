"""What is doubtful about the work, below the blade: what a change brought stands out, what stood before is folded."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.showing import as_lines


@dataclass(frozen=True)
class Noted:
    """What has been told of a work.

    Parameters
    ----------
    of
        The job as it was then.
    kinds
        What it was about: the sentences without their numbers, which change with every grind.
    fresh
        Those that the last change brought.
    """

    of: preview.Job
    kinds: frozenset[str]
    fresh: frozenset[str]


def noted(before: Noted | None, job: preview.Job, kinds: frozenset[str]) -> Noted:
    """Return what has been told once ``kinds`` are told of ``job``; ``before`` is what was told before it."""
    if before is None:
        return Noted(job, kinds, kinds)
    if before.of == job:
        return before
    return Noted(job, kinds, kinds - before.kinds)


def show_notes(shown: preview.Preview) -> int:
    """Show what is doubtful about the work; return how much of it is new with the last change."""
    notes = shown.numbers.notes
    told = noted(st.session_state.get("noted"), shown.job, frozenset(note.text for note in notes))
    st.session_state.noted = told
    fresh = [note.told(units()) for note in notes if note.text in told.fresh]
    known = [note.told(units()) for note in notes if note.text not in told.fresh]
    if fresh:
        st.warning(as_lines("\n".join(fresh)))
    if known:
        with st.expander(f"{so_many(len(known), 'warning')}, as before", key="noted before"):
            st.caption(as_lines("\n".join(known)))
    return len(fresh)


def so_many(number: int, thing: str, several: str = "") -> str:
    """Return a number of things in words.

    Examples
    --------
    >>> so_many(1, "warning"), so_many(2, "warning"), so_many(2, "piece of advice", "pieces of advice")
    ('1 warning', '2 warnings', '2 pieces of advice')
    """
    return f"{number} {thing if number == 1 else several or f'{thing}s'}"


def show_way(fresh: int, advice: int) -> None:
    """Show on the blade's picture what there is to read below the controls, and lead there."""
    there = [(fresh, "warning", ""), (advice, "piece of advice", "pieces of advice")]
    words = ", ".join(so_many(number, *names) for number, *names in there if number)
    if words:
        st.markdown(f"[{words} below](#{READ})")


READ = "to-read"
"""What the browser knows the place by where advice and warnings stand."""


def mark_place() -> None:
    """Mark where advice and warnings begin."""
    st.html(f'<div id="{READ}"></div>')
