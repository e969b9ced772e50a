"""Versions for a client to choose from: other works of the shelf that stand beside the one on the page."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.session import called, shelf
from preview.page.telling import told

MOST = 3
"""Versions beside the one on the page, at most: the sheet holds four."""


def choose_versions(job: preview.Job) -> tuple[preview.Job, ...]:
    """Offer to keep the work on the page as a version, and ask which stand beside it; return those, by their names.

    Raises
    ------
    PreviewError
        If one of them cannot be read.
    """
    names = {each.id: each.name for each in shelf().jobs() if each.id != st.session_state.job}
    chosen = [id for id in st.session_state.get("beside", ()) if id in names]
    if names:
        # a list that is not on the page is forgotten with its panel, so what was chosen is kept apart from it
        chosen = st.multiselect(
            "Versions beside it, to choose from", list(names), chosen, format_func=names.__getitem__,
            key="versions", max_selections=MOST, placeholder="None: a sheet for this blade alone",
            help="Up to three others of your work: another grind, finish or place. Each is shown at the same scale, "
            "and the sheet says of each how far its pattern may lie off.",
        )  # fmt: skip
        st.session_state.beside = chosen
    st.button(
        "Keep this as a version", key="keep_version", on_click=keep_version, args=(job,),
        disabled=len(chosen) == MOST,
        help="Keeps it as it is now under *My work*. Change the grind, the finish or the place, and hand over both.",
    )  # fmt: skip
    return tuple(shelf().read(id).model_copy(update={"title": names[id]}) for id in chosen)


def keep_version(job: preview.Job) -> None:
    """Put ``job`` onto the shelf as a version of the work on the page, which stays open, and choose it."""
    try:
        name = f"{called()}, version"
        if st.session_state.job:
            kept = shelf().copy(st.session_state.job, name)
            shelf().open(st.session_state.job)
        else:
            kept = shelf().keep(job, name=name)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
        return
    st.session_state.beside = [*st.session_state.get("beside", ()), kept]
    st.session_state.pop("versions", None)
