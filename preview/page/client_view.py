"""The client's view: the work on the page, for a client in the room: nothing can be changed, but turned in the hand."""

from __future__ import annotations

from urllib.parse import urlencode

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.close_look import close_look
from preview.page.dress import frame_faces
from preview.page.looking import show_faces
from preview.page.session import called, sheet_words
from preview.page.showing import data_url, plain
from preview.page.turning import offer_turning
from preview.page.working import working

CLIENT = "client"
"""What a link says of its view."""

WIDE = """
<style>
[data-testid="stHeader"] { display: none; }
[data-testid="stMainBlockContainer"] { padding-top: 1rem; max-width: 110rem; margin: 0 auto; }
div:has(> .st-key-stage) { position: static; }
.st-key-head h1 { padding: 0; font-size: clamp(1.4rem, 4vw, 2.4rem); }
.st-key-head p { margin: 0; }
.st-key-stage .st-key-faces { --most: calc(100vh - 13rem); }
.st-key-under .st-key-said { height: auto; }
</style>
"""
"""More room for the blade, and no bar above it."""


def way_to_client_view() -> None:
    """Offer the way to the client's view of the work on the page."""
    st.markdown(
        "**A page to show**: both faces as large as the screen lets them, likely looks, and the words of the "
        "client's sheet. Nothing can be changed on it."
    )
    link = {**st.query_params.to_dict(), "view": CLIENT}
    if st.session_state.get("inches"):
        link["sizes"] = "inch"
    st.link_button("Open the client's view", f"?{urlencode(link)}", type="primary")
    st.caption(
        "It opens beside this page and has a link of its own. Show it on your own screen: the link leads to your work."
    )


def show_client_view() -> None:
    """Show the work that the link names: both faces, likely looks, and the words of the client's sheet."""
    if st.query_params.get("sizes") == "inch":
        st.session_state.inches = True
    if "lost" in st.session_state:  # such as that the work is no longer kept: no other blade is to stand in for it
        st.warning(st.session_state.pop("lost"))
        return
    job, words, chosen = st.session_state.good, sheet_words(), units()
    st.html(WIDE)
    with st.container(key="head"):
        st.title(plain(job.title or called()), anchor=False)
        if words.by:
            st.markdown(plain(words.by))
    with st.container(key="stage"):
        with st.container(key="faces"):
            show_faces(st.container(), job)
            frame_faces(job)
        with st.container(key="under"):
            with st.container(key="said"):
                st.caption(f"Right face above, left face below. {preview.FOOT}")
            with st.container(key="close"):
                close_look(job, compares=False)
    with st.container(key="hand"):
        offer_turning(job)
    with working("Drawing likely blades"):
        found = preview.likely(job, width=800)
    (head, expect), *blocks = preview.client_words(job, found, preview.told_of_years(job), words.story.strip(), chosen)
    st.subheader(head, anchor=False)
    pictures = (*found.looks, preview.rings_picture(found, chosen))
    shown = (preview.jpeg_bytes(preview.without_handle(each, found.view)) for each in pictures)
    *looks, rings = (data_url(each, "jpeg") for each in shown)
    for row in range(0, len(looks), 2):
        for number, column in enumerate(st.columns(2), start=row):  # one below the other on a phone
            alt = f"Likely look {number + 1} of {len(looks)}, right face."
            column.image(looks[number], width="stretch", alt=alt)
    st.markdown(in_lines(expect))
    st.image(rings, width="stretch", alt="Right face, with rings where it may lie.")
    with st.container(key="words"):
        for column, several in zip(st.columns(2, gap="large"), (blocks[:-2], blocks[-2:]), strict=True):
            for head, text in several:
                column.subheader(head, anchor=False)
                column.markdown(in_lines(text))


def in_lines(text: str) -> str:
    """Return words so that Markdown shows them as they stand, each line as a paragraph of its own."""
    return plain(text).replace("\n", "\n\n")
