"""Where a job comes from: a demo, a picture of one's own, or the work of an earlier visit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.session import KEPT, folder, open_job, saved
from preview.page.showing import as_lines

DEMOS = Path(__file__).parents[2] / "demo_patterns"
FIRST = "marsh_moon"
OWN = "My own pattern"
PICTURES = ["png", "jpg", "jpeg", "tif", "tiff", "webp", "gif", "bmp"]

STEPS = (
    (
        "1 · Lay a pattern",
        "This is a demo. Choose another, or your own picture, under *Start from*: white is the nickel steel.",
    ),
    (
        "2 · Say how you work",
        "Can, forging and blade, at the side, in your sizes. Each has a usual value to start with.",
    ),
    (
        "3 · Try the grind",
        "Move its height or angle and watch the pattern. Then try several, fill the can, print the sheets.",
    ),
)


def invite() -> None:
    """Show a fresh visitor how to begin, until they wave it away or change something."""
    if st.session_state.get("invited") or len(st.session_state.past) > 1:
        return
    with st.container(border=True, key="invitation"):
        for column, (head, words) in zip(st.columns(3), STEPS, strict=True):
            column.markdown(f"**{head}**  \n{words}")
        st.button("I know my way", key="wave_away", on_click=lambda: st.session_state.update(invited=True))


def open_upload(picture: Any, job_file: Any, calibration: Any) -> None:
    """Open an uploaded picture, with its job file if there is one; only a job that gives a picture is taken."""
    name = saved(picture).name
    if calibration is not None:
        saved(calibration)
    if job_file is None:
        job = preview.make_job({"pattern": {"picture": name}, "folder": folder()})
    else:
        job = preview.load_job(saved(job_file))
        pattern = job.pattern.model_copy(update={"picture": name})
        job = preview.check_job(job.model_copy(update={"pattern": pattern}))
    preview.preview(job, width=200)
    open_job(job)


def start_controls() -> None:
    demos = {path.stem: path for path in sorted(DEMOS.glob("*.toml"))}
    kept = [KEPT] if st.session_state.get("reopened") else []
    names = [*kept, FIRST, *(name for name in demos if name != FIRST), OWN]
    chosen = st.selectbox(
        "Start from", names, key="start",
        format_func=lambda name: f"Demo: {name.replace('_', ' ')}" if name in demos else name,
    )  # fmt: skip
    if chosen in demos and st.session_state.get("source") != chosen:
        open_job(preview.load_job(demos[chosen]))
        st.session_state.source = chosen
    if chosen != OWN:
        return
    picture = st.file_uploader(
        "Pattern picture", type=PICTURES, key="picture",
        help="White is the nickel steel, black the plain one, unless your job file says otherwise.",
    )  # fmt: skip
    job_file = st.file_uploader("Job file, if you have one", type=["toml"], key="job_file")
    calibration = st.file_uploader("Its calibration file, if it names one", type=["toml"], key="forge_file")
    if picture is None:
        st.info("Choose a picture, then fill in the sizes below. Until then the last job stays.")
        return
    source = tuple(upload.file_id for upload in (picture, job_file, calibration) if upload)
    if st.session_state.get("source") != source:
        st.session_state.source = source
        st.session_state.pop("refused", None)
        try:
            open_upload(picture, job_file, calibration)
        except preview.PreviewError as error:
            st.session_state.refused = error
    if "refused" in st.session_state:
        st.error(as_lines(st.session_state.refused.told(units()), hide=str(folder())))
