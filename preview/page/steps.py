"""The forging at the side: its steps, oldest first, each with what it is asked for."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import Table, ask_fields, key
from preview.page.session import open_table

STEPS = {step.model_fields["step"].default: step for step in preview.STEPS}


def forging_controls(job: Table) -> None:
    st.caption("Oldest first, as you work. Cold sizes.")
    for index, step in enumerate(job["forging"]):
        kind, path = STEPS[step["step"]], ("forging", index)
        with st.expander(f"Step {index + 1}: {kind.title}", expanded=index == st.session_state.get("added")):
            ask_fields(step, kind, path, *sorted(kind.asked(), key=lambda name: name == "heat"))  # the heat comes last
            st.button("Take this step out", key=key(*path, "out"), on_click=change_steps, args=(index, None))
    name = st.selectbox(
        "Another step", list(STEPS), format_func=lambda name: STEPS[name].title, key=key("forging", "kind")
    )
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    last = len(job["forging"])
    place = left.selectbox(
        "It comes", range(last, -1, -1), key=key("forging", "place"),
        format_func=lambda place: "last" if place == last else f"before step {place + 1}",
    )  # fmt: skip
    right.button("Add", key=key("forging", "add"), on_click=change_steps, args=(place, name))


def change_steps(index: int, name: str | None) -> None:
    """Take out step ``index``, or add one called ``name`` there, and start the widgets anew from the changed job."""
    table = st.session_state.table
    st.session_state.added = None if name is None else index  # it opens, to be given its sizes
    if name is None:
        del table["forging"][index]
    else:
        table["forging"].insert(index, STEPS[name].example().model_dump(mode="json", exclude_none=True))
    open_table(table)
