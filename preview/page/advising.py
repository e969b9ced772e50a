"""What matters most stands under the blade: what costs most steel as it is, each with a button that mends it."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.session import open_table, table_of
from preview.page.showing import plain

MOST = 2
"""Pieces of advice that are shown at once: the next comes when the first is mended."""


def show_advice(shown: preview.Preview, *, trouble: bool) -> int:
    """Show what costs most; first of all, where the bar is too small for the blade asked for, a can that is enough.

    Return how many pieces of advice are shown.
    """
    found = (*preview.too_small(st.session_state.asked), *(() if trouble else preview.advise(shown)))
    if not found:
        return 0
    with st.container(key="advice", border=True, gap="small"):
        for number, each in enumerate(found[:MOST]):
            words, button = st.columns([5, 2], vertical_alignment="center")
            words.markdown(plain(each.sentence.told(units())))
            if each.action is not None and each.change is not None:
                button.button(
                    each.action.told(units()), key=f"take advice {number}", on_click=take_advice, args=(each.change,),
                    width="stretch",
                )  # fmt: skip
    return len(found[:MOST])


def take_advice(job: preview.Job) -> None:
    """Let the page go on with the job as advised; that is a change like any other, and can be undone."""
    open_table(table_of(job))
