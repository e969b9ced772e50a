"""The blade in the hand, on the page: turned by the browser alone, and taken along as a file."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.session import called, sheet_words
from preview.page.showing import BLADE_AT_REST
from preview.page.working import unless_stopped

TALL = 560
"""Height of the blade's frame, in pixels of the page."""


def show_turning(job: preview.Job) -> None:
    """Show the blade to be turned, and offer it as files."""
    st.html(BLADE_AT_REST)
    text = _turning(job)
    if text is None:
        return
    name = called().lower().replace(" ", "_")
    to_client, to_others = st.columns(2)
    to_client.download_button(
        "For any browser (one page)", text, f"{name}.html", "text/html", key="save_turning", on_click="ignore",
        help="Opens on a phone as well, and fetches nothing from the net: send it to your client.",
    )  # fmt: skip
    to_others.download_button(
        "For other programs (GLB)", lambda: preview.blade_glb(job), f"{name}.glb", "model/gltf-binary", key="save_glb",
        on_click="ignore", help="The ground blade as a solid in metres, with its etched steel.",
    )  # fmt: skip


def offer_turning(job: preview.Job) -> None:
    """Offer a client the blade to be turned."""
    if st.session_state.get("in_hand"):
        _turning(job)
    else:
        st.button("Turn it in your hand", key="turn_it", on_click=lambda: st.session_state.update(in_hand=True))


def _turning(job: preview.Job) -> str | None:
    """Show the blade's page in a frame and return it; None where making it was stopped."""
    text = unless_stopped("turning", "Laying the blade in your hand", job, lambda: _made(job))
    if text is not None:
        st.iframe(text, height=TALL, alt=f"{job.title or 'The blade'}, to be turned")
    return text


def _made(job: preview.Job) -> str:
    """Return the page of ``job``; kept until another is asked for."""
    asked = job, sheet_words(), units()
    kept: tuple[Any, str] | None = st.session_state.get("turning")
    if kept is None or kept[0] != asked:
        kept = st.session_state.turning = (asked, preview.turning_page(job, (), *asked[1:]))
    return kept[1]
