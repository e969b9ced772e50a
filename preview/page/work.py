"""My work: which job lies on the bench, and the shelf with all the others."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from typing import Any

import streamlit as st

import preview
from preview.page.session import DEMOS, FIRST, begin, called, demos, folder, look_at, name_of, open_job, shelf
from preview.page.showing import data_url, plain
from preview.page.starting import COLOURS, PACKED, PATTERNS, ROOM, take_upload
from preview.page.telling import told

IN_A_ROW = 3
USUAL = "plain_start"
LOOKING = "You are looking at a demo. Change anything and it becomes work of yours."


def work_line() -> None:
    """Say in one line which job is open, with the way to all the others; at a demo also the way back."""
    st.session_state.pop("chosen", None)  # the page runs as a whole, so the shelf is closed already
    with st.container(horizontal=True, horizontal_alignment="distribute", vertical_alignment="center", wrap=False):
        st.markdown(f"**{plain(called())}**" if st.session_state.job else f"Demo: **{plain(called())}**")
        opens = st.button("My work", key="my_work")
    if opens:
        show_work()
    jobs = shelf().jobs()
    if jobs and not st.session_state.job:
        last = next((each for each in jobs if each.id == shelf().opened), jobs[0])
        st.button(
            f"Back to {plain(last.name)}", key="back", icon=":material/arrow_back:", width="stretch",
            on_click=open_job, args=(last.id,),
        )  # fmt: skip


@st.dialog("My work", width="large", on_dismiss="rerun")
def show_work() -> None:
    """Show the shelf: the jobs, a way to begin another, and those that were taken away."""
    if st.session_state.pop("chosen", False):
        st.rerun()  # which closes it
    if "lost" in st.session_state:
        st.warning(st.session_state.pop("lost"))
    jobs, fresh, binned = st.tabs(["On the shelf", "Begin a new one", "Deleted"])
    with jobs:
        _show_jobs()
    with fresh:
        _show_new()
    with binned:
        _show_binned()
    st.caption(f"{ROOM} It takes {preview.taken(folder()) / 1e6:.1f} MB now.")


def _show_jobs() -> None:
    gone = st.session_state.get("gone")
    if gone:
        with st.container(horizontal=True, vertical_alignment="center", border=True, key="gone_line"):
            st.markdown(f"**{plain(gone.name)}** is off the shelf.")
            st.button("Bring it back", key="bring_back", on_click=attempt, args=(bring_back, gone.id))
    kept = shelf().jobs()
    if not kept:
        st.info("Nothing of yours yet. Change something in a demo, or begin a new one: it is kept here from then on.")
    cards(kept, _ways_on)
    if kept:
        st.caption("Every change is kept at once. The link in your browser's address line opens all this again.")


def _ways_on(each: Any) -> None:
    """Offer what can be done with a job of the shelf."""
    opened = each.id == st.session_state.job
    st.button("Open", key=f"open {each.id}", on_click=attempt, args=(choose, each.id), disabled=opened)
    with st.popover("More"):
        widget_key = f"name {each.id} {each.name}"
        st.text_input("Its name", each.name, max_chars=80, key=widget_key)
        st.button("Rename", key=f"rename {each.id}", on_click=attempt, args=(rename, each.id, widget_key))
        st.divider()
        st.button("Copy, and open the copy", key=f"copy {each.id}", on_click=attempt, args=(copy, each.id))
        st.button("Delete", key=f"delete {each.id}", on_click=attempt, args=(delete, each))


def _show_new() -> None:
    usual, demo = st.columns(2)
    with usual, st.container(border=True, height="stretch"):
        st.markdown("**The usual start**")
        st.caption("A plain pattern, the usual can, forging and blade.")
        st.button("Begin with it", key="new_usual", on_click=attempt, args=(begin_from, USUAL, "Blade"))
    with demo, st.container(border=True, height="stretch"):
        st.markdown("**A demo**")
        names = demos()
        st.selectbox("Demo", list(names), format_func=names.__getitem__, key="new_demo", label_visibility="collapsed")
        st.button("Begin from it", key="new_from_demo", on_click=attempt, args=(begin_from_chosen,))
    with st.container(border=True):
        st.markdown("**A picture of yours, or work that you saved**")
        upload = st.file_uploader(
            "Pattern picture, or saved work (.zip)",
            type=[*PATTERNS, PACKED],
            key="new_upload",
            help=COLOURS,
        )
        if upload is not None and take_upload("new", upload):
            st.rerun()


def _show_binned() -> None:
    kept = shelf().binned()
    if not kept:
        st.caption("Nothing was deleted.")

    def way_back(each: Any) -> None:
        st.button("Bring it back", key=f"bring_back {each.id}", on_click=attempt, args=(bring_back, each.id))

    cards(kept, way_back)


def cards(kept: tuple[Any, ...], ways_on: Callable[[Any], None]) -> None:
    """Show each job as a small card, and below it what can be done with it."""
    for start in range(0, len(kept), IN_A_ROW):
        for column, each in zip(st.columns(IN_A_ROW), kept[start : start + IN_A_ROW], strict=False):
            with column, st.container(border=True, height="stretch", key=f"card {each.id}"):
                if each.picture:
                    st.image(data_url(each.picture, "jpeg"), width="stretch", alt=f"The blade of {each.name}.")
                st.markdown(f"**{plain(each.name)}**")
                st.caption("On the bench now" if each.id == st.session_state.job else told_when(each.changed))
                with st.container(horizontal=True):
                    ways_on(each)


def told_when(changed: datetime) -> str:
    """Return when a job changed last, by the visitor's clock where the browser tells it."""
    behind = st.context.timezone_offset or 0  # minutes that it is behind UTC
    there = changed.astimezone(timezone(-timedelta(minutes=behind)))
    return f"Changed {there.day} {there:%b, %H:%M}"


def attempt(act: Callable[..., None], *args: Any) -> None:
    """Do something with the shelf; where it cannot be done, it is said why."""
    try:
        act(*args)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)


def choose(id: str) -> None:
    """Open a job, and close the shelf."""
    open_job(id)
    st.session_state.chosen = True


def begin_from(demo: str, name: str) -> None:
    begin(preview.load_job(DEMOS / f"{demo}.toml"), name)
    st.session_state.chosen = True


def begin_from_chosen() -> None:
    demo = st.session_state.new_demo
    begin_from(demo, demos()[demo])


def rename(id: str, widget_key: str) -> None:
    shelf().rename(id, st.session_state[widget_key])
    if id == st.session_state.job:
        st.session_state.name = name_of(id)


def copy(id: str) -> None:
    choose(shelf().copy(id))


def delete(job: Any) -> None:
    """Take a job off the shelf; where it was open, the page goes on to the first demo."""
    shelf().delete(job.id)
    was_open = job.id == st.session_state.job
    st.session_state.update(gone=job, reopen=job.id if was_open else None)
    if was_open:
        look_at(FIRST)


def bring_back(id: str) -> None:
    """Put a job back onto the shelf, and open it where it was open when it was taken off."""
    shelf().bring_back(id)
    if st.session_state.get("gone") and st.session_state.gone.id == id:
        st.session_state.pop("gone")
    if st.session_state.get("reopen") == id and st.session_state.job is None:
        open_job(id)
