"""Where a job comes from: a demo, a picture of one's own, or a file that holds a whole job."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.session import begin, demos, look_at, open_table, saved, shelf, stem_of, table_of
from preview.page.telling import told

OWN = "My own pattern"
CAMERAS = ["heic", "heif", "dng", "cr2", "nef", "arw"]
"""Not read; let through, so that the visitor is told what to do about them."""
PICTURES = ["png", "jpg", "jpeg", "tif", "tiff", "webp", "gif", "bmp", *CAMERAS]
DRAWINGS = ["svg", "dxf"]
PATTERNS = [*PICTURES, *DRAWINGS]
PACKED = "zip"
COLOURS = "White is the nickel steel, black the plain one, unless your settings file says otherwise."

ROOM = (
    f"What you upload and keep here may take {preview.MOST_OF_ONE // 1_000_000} MB in all, and is kept for "
    f"{preview.DAYS_KEPT} days after you last opened it. Save what is to stay longer."
)

STEPS = (
    ("Lay a pattern", "yours, or a demo"),
    ("Say how you work", "can, forging, blade"),
    ("Try the grind", "watch it change"),
)


def invite() -> None:
    """Show a fresh visitor how to begin, until they wave it away: nothing else that they do moves the blade."""
    if "invited" not in st.session_state:
        st.session_state.invited = bool(st.session_state.job or shelf().jobs())
    if st.session_state.invited:
        return
    with st.container(border=True, key="invitation"):
        *columns, last = st.columns([2, 2, 2, 1])
        for number, (column, (head, words)) in enumerate(zip(columns, STEPS, strict=True), start=1):
            column.markdown(f"**{number}** {head}: {words}")  # a bold name looked like a link
        last.button("I know my way", key="wave_away", on_click=lambda: st.session_state.update(invited=True))


def start_controls() -> None:
    """Ask for a demo to look at, or for a pattern of one's own."""
    if st.session_state.pop("start_anew", False):
        st.session_state.start = st.session_state.demo
    chosen = st.selectbox(
        "Start from", [*demos(), OWN], index=0 if st.session_state.demo else None, key="start",
        placeholder="a demo, or your own pattern",
        format_func=lambda name: f"Demo: {name.replace('_', ' ')}" if name in demos() else name, on_change=_started,
    )  # fmt: skip
    if chosen == OWN:
        _own_pattern()


def _started() -> None:
    if st.session_state.start in demos():
        look_at(st.session_state.start)


def _own_pattern() -> None:
    picture = st.file_uploader(
        "Pattern picture, or saved work (.zip)", type=[*PATTERNS, PACKED], key="picture", help=COLOURS
    )
    st.caption(ROOM)
    with st.expander("With a settings file of its own"):
        job_file = st.file_uploader("Settings file (job.toml)", type=["toml"], key="job_file")
        named = st.file_uploader(
            "Files that it names, if any (calibration, what a photograph showed)", type=["toml"], key="named_files",
            accept_multiple_files=True,
        )  # fmt: skip
    if picture is None:
        st.info("Choose a picture, then fill in the sizes below. Until then the last work stays.")
    elif take_upload("own", picture, job_file, *named):
        st.session_state.start_anew = False  # a job file may follow
        st.rerun()


def take_upload(where: str, picture: Any, job_file: Any = None, *named: Any) -> bool:
    """Make a job of what was uploaded, once; say why where it cannot be. Return whether it was made just now."""
    source = tuple(upload.file_id for upload in (picture, job_file, *named) if upload)
    seen = st.session_state.setdefault("uploads", {}).setdefault(where, {"source": ()})
    if seen["source"] != source:
        follows = seen["source"][:1] == source[:1] and seen.get("job") and seen["job"] == st.session_state.job
        seen.update(source=source, refused=None)
        try:
            job = job_of(picture, job_file, *named)
            if follows:
                open_table(table_of(job))
            else:
                begin(job, job.title if job_file and job.title else stem_of(picture))
                seen["job"] = st.session_state.job
        except preview.PreviewError as error:
            seen["refused"] = error
        else:
            return True
    if seen["refused"]:
        st.error(told(seen["refused"]))
    return False


def job_of(picture: Any, job_file: Any = None, *named: Any) -> preview.Job:
    """Return the job of an upload: a packed one, or a picture, with its job file and what that names if there is one.

    A picture alone keeps its proportions. Only a job that gives a blade's picture is taken.
    """
    if picture.name.lower().endswith(f".{PACKED}"):
        job = preview.open_packed(picture.getvalue())
    else:
        path = saved(picture, job_file, *named)
        if job_file is None:
            job = preview.make_job({"pattern": {"picture": path.name}, "folder": path.parent})
            job = preview.exchange_picture(job, path, path.parent)
        else:
            job = preview.load_job(path.parent / saved(job_file, picture, *named).name)
            pattern = job.pattern.model_copy(update={"picture": path.name})
            job = preview.check_job(job.model_copy(update={"pattern": pattern}))
    preview.preview(job, width=200)
    return job
