"""A blade's profile of the smith's own: drawn, or photographed as a template."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.session import saved, use_outline
from preview.page.showing import as_lines, data_url
from preview.page.telling import told
from preview.page.template import TYPES, told_of


def show_profile(job: preview.Job) -> None:
    """Ask for a drawing of a blade, show what is understood of it, and let it be the blade when that is wanted."""
    st.markdown("**A profile of your own**: a drawing at its true size, or the photo of a template")
    drawing = st.file_uploader(
        "Drawing or photo of it", type=TYPES, key="blade_drawing",
        help="One closed line round the blade, with or without its tang, at its true size; or the photo of a template "
        "on plain ground.",
    )  # fmt: skip
    outline: preview.Outline | None = None
    try:
        if drawing is not None and (stated := told_of(drawing)) is not None:
            outline = own = preview.read_outline(saved(drawing), stated)
            st.button("Use it in this work", key="use_outline", on_click=use_outline, args=(own,))
        elif drawing is None and isinstance(job.blade.outline, preview.DrawnOutline):
            outline = job.blade.outline
    except preview.PreviewError as error:
        st.error(told(error))
    if outline is not None:
        st.image(
            data_url(preview.profile_picture(outline, "svg", units()), "svg+xml"), width="stretch",
            alt="What is understood of the drawing: edge, spine, heel, tip, and what else there is.",
        )  # fmt: skip
        st.markdown(as_lines("\n".join(note.told(units()) for note in outline.notes)))
