"""The blade after years of sharpening, on the page."""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import ask_slider, units
from preview.page.showing import BLADE_AT_REST, data_url

USUAL = 3.0
"""What is sharpened away at first, mm."""

MOST = 15.0
"""Most that the slider offers, mm; on a narrow blade it is a third of it."""

WIDTH = 1000
"""Pixels of the picture."""


def show_years(job: preview.Job) -> None:
    """Show both faces once so much of the edge is sharpened away, and what goes with it."""
    st.html(BLADE_AT_REST)
    most = min(MOST, job.blade.outline.height / 3)
    back = min(float(st.session_state.get("sharpened", USUAL)), most)

    def take(off: float) -> None:
        st.session_state.sharpened = off

    ask_slider("Sharpened away from the edge", back, 0.0, most, ("sharpened",), take, unit="mm", most=most, wide=True)
    found = preview.after_years(job, back, width=WIDTH)
    told = units().length(back, form=".1f")
    st.image(
        data_url(preview.jpeg_bytes(found.picture(units())), "jpeg"), width="stretch",
        alt=f"Both faces once {told} of the edge are sharpened away.",
    )  # fmt: skip
    st.table({"": dict(preview.wear_lines(found.numbers, units()))}, hide_header=True)
    st.caption(
        "Faint on the picture is the steel that is gone, orange the bright pattern that went with it. "
        "The spine and the bevels stay as they are, the edge moves up into thicker steel. Thinning the bevels as well "
        "would move the pattern, as a higher grind does: try that under *Try grinds*."
    )
