"""What a visitor has on the page: a job of theirs or a demo, and the shelf that keeps every change of the former."""

from __future__ import annotations

import contextlib
import json
import re
import threading
from pathlib import Path, PurePath
from typing import Any

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

import preview
from preview.page.asking import Table
from preview.page.telling import told

DEMOS = Path(__file__).parents[2] / "demo_patterns"
FIRST = "marsh_moon"
SMALL = 240
"""Pixels that a job's small picture is wide, or somewhat more."""


_RUN = threading.local()
"""For whom the page runs in this thread, and with which cache: asked some hundred times in a run."""


def visitors_cache() -> preview.Cache | None:
    """Return the cache of the visitor for whom the page runs, or None where it runs for nobody."""
    run = get_script_run_ctx(suppress_warning=True)
    if run is None:
        return None
    if getattr(_RUN, "of", None) is not run:
        if "cache" not in st.session_state:
            st.session_state.cache = preview.Cache()
        _RUN.of, _RUN.cache = run, st.session_state.cache
    cache: preview.Cache = _RUN.cache
    return cache


preview.find_caches_by(visitors_cache)


def start_session() -> None:
    """Open what the link names, once for each visit: its demo, or the job that was open last; else the first demo."""
    if "work" in st.session_state:
        return
    home = preview.work_home()
    st.session_state.job = st.session_state.demo = None
    name = st.query_params.get("work") or preview.new_work(home)
    st.session_state.fresh = "work" not in st.query_params
    try:
        preview.work_folder(home, name)
    except preview.PreviewError as error:
        st.session_state.lost = str(error)
        name = preview.new_work(home)
    _enter(name)
    demo, last = st.query_params.get("demo"), shelf().opened
    if last and demo not in demos():
        open_job(last)
    if st.session_state.job is None:
        look_at(demo if demo in demos() else FIRST)


def go_back_to(name: str) -> None:
    """Go back to the work that the browser remembers, where it is still kept and nothing has been changed since."""
    st.session_state.fresh = False
    try:
        preview.work_folder(preview.work_home(), name)
    except preview.PreviewError:
        return
    if shelf().jobs():
        return
    _enter(name)
    last, looked_at = shelf().opened, st.query_params.get("demo")
    if last and (looked_at is None or looked_at == FIRST):
        open_job(last)


def _enter(name: str) -> None:
    """Let this visit be to the work called ``name``, which stays for as long as the page is open."""
    st.session_state.work = st.query_params["work"] = name
    st.session_state.visit = preview.Visit(folder())


def folder() -> Path:
    """Return the folder that keeps this visitor's work and uploads."""
    return preview.work_folder(preview.work_home(), st.session_state.work)


def shelf() -> preview.Shelf:
    """Return this visitor's jobs."""
    return preview.Shelf(folder())


def demos() -> dict[str, str]:
    """Return what each demo is called, the first one first."""
    names = sorted((path.stem for path in DEMOS.glob("*.toml")), key=lambda name: (name != FIRST, name))
    return {name: name.replace("_", " ").capitalize() for name in names}


def called() -> str:
    """Return what the job on the page, or the demo, is called."""
    return str(st.session_state.name)


def open_table(table: Table) -> None:
    """Make ``table`` what the page shows; its widgets start anew. Where that is a change, `take` keeps it."""
    st.session_state.table = table
    for of_widgets in ("wishes", "number_boxes", "sliders", "slid"):
        st.session_state.pop(of_widgets, None)
    st.session_state.opened = st.session_state.get("opened", 0) + 1


def table_of(job: preview.Job) -> Table:
    beside = {"folder": job.folder, "forge": job.forge, "found": job.found}
    return {**job.model_dump(mode="json", exclude_none=True), **beside}


def show(job: preview.Job, name: str, *, id: str | None = None, demo: str | None = None) -> None:
    """Show a job as it is kept on the shelf, or a demo."""
    open_table(table_of(job))
    st.session_state.update(good=job, name=name, job=id, demo=demo, start_anew=True)
    if demo:
        st.query_params["demo"] = demo
    else:
        st.query_params.pop("demo", None)


def look_at(demo: str) -> None:
    """Show a demo, without any change to the jobs on the shelf."""
    show(preview.load_job(DEMOS / f"{demo}.toml"), demos()[demo], demo=demo)
    st.session_state.pop("noted", None)


def open_job(id: str) -> None:
    """Open a job of the shelf; where it cannot be opened, what is on the page stays, and it says why."""
    try:
        job = shelf().open(id)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
    else:
        show(job, name_of(id), id=id)
        st.session_state.pop("noted", None)


def name_of(id: str) -> str:
    return next((each.name for each in shelf().jobs() if each.id == id), "")


def begin(job: preview.Job, name: str) -> None:
    """Put ``job`` onto the shelf as a new one, and open it."""
    open_job(shelf().keep(job, name=name))


def take(job: preview.Job) -> bool:
    """Keep ``job``, which the page now shows, if it is a change; return whether a demo has become the visitor's own."""
    good, id = st.session_state.good, st.session_state.job
    if job == good:
        return False
    kept = shelf()
    fresh = id is None
    if id is None:
        id = kept.keep(good, name=called())  # so that undoing leads back to it
    kept.keep(job, id)
    if job.folder != DEMOS and kept.folder / "jobs" not in job.folder.parents:
        job = kept.open(id)  # the files it names lie on the shelf from now on, where no upload touches them
        st.session_state.table["folder"] = job.folder
    st.session_state.good = job
    if fresh:
        words = sheet_words()
        st.session_state.update(job=id, name=name_of(id), demo=None, start_anew=True)
        st.query_params.pop("demo", None)
        keep_words(words)
    return fresh


def give_picture(shown: preview.Preview) -> None:
    """Give the open job its small picture, once it has changed."""
    id, of = st.session_state.job, (st.session_state.job, shown.job)
    if id is None or st.session_state.get("pictured") == of:
        return
    picture = shown.picture_of("right")
    step = max(1, picture.shape[1] // SMALL)
    rows, columns = (side // step for side in picture.shape[:2])
    strips = picture[: rows * step, : columns * step].reshape(rows, step, -1).sum(axis=1, dtype="uint32")
    small = strips.reshape(rows, columns, step, -1).sum(axis=2) // step**2
    shelf().set_picture(id, preview.jpeg_bytes(small.astype("uint8")))
    st.session_state.pictured = of


def show_kept() -> None:
    """Show the job, or the demo, as it was last kept."""
    show(st.session_state.good, called(), id=st.session_state.job, demo=st.session_state.demo)


def go_to(state: Any) -> None:
    """Let the open job be what it was, or what it was before that was undone."""
    id = st.session_state.job
    try:
        job = shelf().go_to(id, state)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
    else:
        show(job, called(), id=id)


def words_file() -> Path:
    """Return the file that keeps what the maker writes on the sheets of the job, or the demo, on the page."""
    return folder() / f"words_{st.session_state.job or st.session_state.demo}.json"


def sheet_words() -> preview.SheetWords:
    """Return what the maker wrote last on the sheets of the job on the page."""
    with contextlib.suppress(OSError, ValueError, preview.PreviewError):
        return preview.make_settings(preview.SheetWords, json.loads(words_file().read_text("utf-8")), "sheet")
    return preview.SheetWords()


def keep_words(words: preview.SheetWords) -> None:
    """Keep what the maker writes on the sheets, where it has changed."""
    if words != sheet_words():
        preview.put_into(folder(), {words_file().name: words.model_dump_json().encode()})


def saved(upload: Any, *beside: Any) -> Path:
    """Return the place of an uploaded file in the visitor's folder, with those that belong ``beside`` it.

    What is uploaded together lies in a place of its own, named by what is in it; it is written once, so that it is
    read once.
    """
    uploads = {_name_of(each): each for each in (upload, *beside) if each is not None}
    known = st.session_state.setdefault("written", {})
    ids = tuple(each.file_id for each in uploads.values())
    place = known.get(ids)
    if place is None or not all((place / name).is_file() for name in uploads):
        files = {name: each.getvalue() for name, each in uploads.items()}
        place = known[ids] = preview.put_upload(folder(), files)
    return Path(place, _name_of(upload))


def _name_of(upload: Any) -> str:
    """Return the name that an uploaded file gets: its own, without a folder, where there can be such a name."""
    name = PurePath(upload.name.replace("\\", "/")).name.lstrip(".")
    return "".join(each if each.isprintable() else "_" for each in name)[-100:] or "upload"


def stem_of(upload: Any) -> str:
    """Return what an uploaded file is called, without its folder and ending."""
    return re.sub(r"_+", " ", PurePath(upload.name.replace("\\", "/")).stem).strip()


def use_picture(upload: Any) -> None:
    """Let another picture lie in the can on the page, in its own proportions; all else stays."""
    job = preview.make_job(st.session_state.table)
    path = saved(upload)
    open_table(table_of(preview.exchange_picture(job, path, path.parent)))


def use_outline(outline: preview.DrawnOutline) -> None:
    """Let the blade on the page be a drawn one; all else stays."""
    job = preview.make_job(st.session_state.table)
    try:
        open_table(table_of(preview.exchange_outline(job, outline, preview.new_draft(folder()))))
    except preview.PreviewError as error:
        st.session_state.lost = told(error)


def use_pattern(table: Table, filled: preview.Job) -> None:
    """Let the can on the page be filled as in ``filled``."""
    fresh = {**table, **filled.model_dump(mode="json", exclude_none=True, include={"pattern", "powders"})}
    open_table({**fresh, "folder": filled.folder})


def use_forge(table: Table, calibration: preview.Calibration) -> None:
    """Let the job on the page be forged and etched, and its can filled, as measured."""
    table["forge"], table["calibration"] = calibration, "forge.toml"
    if calibration.settling is not None:
        table["can"]["fill_density"] = round(calibration.settling.fill_density, 3)


def use_bevel(table: Table, job: preview.Job) -> None:
    """Let the blade on the page be ground as in ``job``."""
    open_table({**table, "grind": job.grind.model_dump(mode="json", exclude_none=True)})
