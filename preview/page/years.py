"""The blade after years of sharpening, on the page."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import ask_slider, units
from preview.page.showing import BLADE_AT_REST, url_in
from preview.page.sliding import Followed

USUAL = 3.0
"""What is sharpened away at first, mm."""

MOST = 15.0
"""Most that the slider offers, mm; on a narrow blade it is a third of it."""

WIDTH, DRAFT_WIDTH = 1000, 480
"""Pixels of the picture, and of the one that follows the slider."""


def show_years(job: preview.Job) -> None:
    """Show both faces once so much of the edge is sharpened away, which follow a slider, and what goes with it."""
    st.html(BLADE_AT_REST)
    most = min(MOST, job.blade.outline.height / 3)
    st.session_state.sharpened = back = min(float(st.session_state.get("sharpened", USUAL)), most)

    def take(off: float) -> None:
        st.session_state.sharpened = off

    def url(width: int) -> str:
        worn = preview.after_years(job, st.session_state.sharpened, width=width)
        return url_in("worn", preview.jpeg_bytes(worn.picture(units())), "jpeg")

    ask_slider(
        "Sharpened away from the edge", back, 0.0, most, ("sharpened",), take, unit="mm", most=most, wide=True,
        followed=Followed("worn", lambda: url(DRAFT_WIDTH)),
    )  # fmt: skip
    told = units().length(back, form=".1f")
    with st.container(key="worn"):
        st.image(url(WIDTH), width="stretch", alt=f"Both faces once {told} of the edge are sharpened away.")
    worn = preview.after_years(job, back, width=WIDTH)
    st.table({"": dict(preview.wear_lines(worn.numbers, units()))}, hide_header=True)
    st.caption(
        "Faint on the picture is the steel that is gone, orange the bright pattern that went with it. "
        "The spine and the bevels stay as they are, the edge moves up into thicker steel. Thinning the bevels as well "
        "would move the pattern, as a higher grind does: try that under *Try grinds*."
    )
