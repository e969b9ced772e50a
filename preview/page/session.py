"""What a visitor has on the page: the job, how it came to be, and the folder that keeps it through a reload."""

from __future__ import annotations

from pathlib import Path, PurePath
from typing import Any

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

import preview
from preview.page.asking import Table

MOST_STEPS_BACK = 60
KEPT = "My work, from before"


def visitors_cache() -> preview.Cache | None:
    """Return the cache of the visitor for whom the page runs, or None where it runs for nobody."""
    if get_script_run_ctx(suppress_warning=True) is None:
        return None
    if "cache" not in st.session_state:
        st.session_state.cache = preview.Cache()
    cache: preview.Cache = st.session_state.cache
    return cache


preview.find_caches_by(visitors_cache)


def start_session() -> None:
    """Find the work that the link names, or make a new place for it; once for each visit."""
    if "work" in st.session_state:
        return
    home = preview.work_home()
    name = st.query_params.get("work")
    st.session_state.past = []
    if name:
        try:
            job = preview.reopen_work(preview.work_folder(home, name))
        except preview.PreviewError as error:
            st.session_state.lost = str(error)
        else:
            st.session_state.work = name
            if job is not None:
                open_job(job)
                st.session_state.reopened = True
                st.session_state.source = st.session_state.start = KEPT
            return
    st.session_state.work = preview.new_work(home)
    st.query_params["work"] = st.session_state.work


def folder() -> Path:
    """Return the folder that keeps this visitor's work and uploads."""
    return preview.work_folder(preview.work_home(), st.session_state.work)


def open_table(table: Table) -> None:
    """Make ``table`` the job on the page; its widgets start anew."""
    st.session_state.table = table
    st.session_state.opened = st.session_state.get("opened", 0) + 1


def open_job(job: preview.Job) -> None:
    open_table({**job.model_dump(mode="json", exclude_none=True), "folder": job.folder, "forge": job.forge})
    st.session_state.good = job


def take(job: preview.Job) -> None:
    """Note ``job`` as the one on the page: keep it for a reload, and its forerunners for going back."""
    past = st.session_state.past
    st.session_state.good = job
    if past and past[-1] == job and past[-1].forge == job.forge and past[-1].folder == job.folder:
        return
    past.append(job)
    del past[:-MOST_STEPS_BACK]
    preview.keep_work(folder(), job)


def go_back(steps: int) -> None:
    """Open the last job but ``steps`` - 1 again; what came after it is forgotten."""
    past = st.session_state.past
    job = past[-steps]
    del past[-steps:]  # the page takes it anew
    open_job(job)


def saved(upload: Any) -> Path:
    """Return the place of an uploaded file in the visitor's folder."""
    name = PurePath(upload.name.replace("\\", "/")).name.lstrip(".") or "upload"
    path = folder() / (f"my_{name}" if name == "job.toml" else name)
    path.write_bytes(upload.getvalue())
    return path


def use_pattern(table: Table, filled: preview.Job) -> None:
    """Let the can on the page be filled as in ``filled``."""
    fresh = {**table, **filled.model_dump(mode="json", exclude_none=True, include={"pattern", "powders"})}
    open_table({**fresh, "folder": filled.folder})


def use_forge(table: Table, calibration: preview.Calibration) -> None:
    """Let the job on the page be forged and etched as measured."""
    table["forge"], table["calibration"] = calibration, "forge.toml"


def use_bevel(table: Table, job: preview.Job) -> None:
    """Let the blade on the page be ground as in ``job``."""
    open_table({**table, "grind": job.grind.model_dump(mode="json", exclude_none=True)})
