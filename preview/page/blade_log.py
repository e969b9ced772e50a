"""The blade log: what was made, written down, looked at, compared, and forecast against found over time."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, ask, units
from preview.page.serving import OWN_LOG
from preview.page.session import begin, called, folder, saved, use_forge
from preview.page.showing import columns_of, data_url, plain
from preview.page.telling import told

NEW = "This work, as a new blade"
NONE = "None"
PICTURES = ["jpg", "jpeg", "png", "webp", "tif", "tiff"]
TABLES = ["csv", "ods", "xlsx"]


def log_folder() -> Path:
    """Return the folder of the log: the one that the page was started with, else one with the visitor's work."""
    own = os.environ.get(OWN_LOG)
    return Path(own) if own else folder() / "log"


def logged() -> tuple[preview.Blade, ...]:
    """Return the blades of the log, the oldest first; none where there is no log yet.

    Raises
    ------
    PreviewError
        If one of them cannot be read.
    """
    place = log_folder()
    return preview.load_log(place) if place.is_dir() and any(place.iterdir()) else ()


def show_log(job: preview.Job, table: Table) -> None:
    try:
        blades = logged()
    except preview.PreviewError as error:
        st.error(told(error))
        return
    said = st.session_state.pop("log_said", "")
    if said:
        st.success(said)
    if not blades:
        st.info("What was forecast of a blade, and what it came out as: write each down, and you see how far to trust.")
    with st.expander("Write down a blade", expanded=not blades, key="log_writing"):
        write_down(job, {blade.record.name: blade for blade in reversed(blades)})
    if not blades:
        return
    try:
        st.table(columns_of(("Day", "Blade", "What is known"), [tuple(map(plain, row)) for row in rows_of(blades)]))
        look_at_one(blades)
        over_the_years(blades)
        offer_forge(blades, table)
    except preview.PreviewError as error:
        st.error(told(error))
    keep_it(blades)


def rows_of(blades: Sequence[preview.Blade]) -> list[tuple[str, str, str]]:
    return [preview.listed(blade, units()) for blade in reversed(blades)]


def write_down(job: preview.Job, blades: Mapping[str, preview.Blade]) -> None:
    turn = st.session_state.get("log_turn", 0)  # once a blade is written down, the boxes start anew

    def of(name: str) -> str:
        return f"log {name} {turn} {units().sizes}"

    name = st.selectbox("Blade", (NEW, *blades), key=of("blade"))
    fresh = name == NEW
    day: date | None = None
    if fresh:
        left, right = st.columns(2)
        name = left.text_input("What it goes by", called(), max_chars=80, key=of("name"))
        day = right.date_input("Made on", date.today(), key=of("day"))
        st.caption("It is kept as it is on the page now: write it down as it was forecast, before you change it.")
    st.markdown("**The bar** after its last step, before the blade was cut, cold")
    bar = [
        ask(column, label, None, of(label), unit="mm", min_value=0.0)
        for column, label in zip(st.columns(3), ("Length", "Width", "Thickness"), strict=True)
    ]
    dips = st.text_area(
        "The etch as it was done, a dip a line", placeholder="ferric chloride 1:4, 12\nstrong coffee, 45, coffee",
        key=of("dips"), help="What it was, a comma, minutes; for coffee or another dark finish a comma and coffee.",
    )  # fmt: skip
    result = st.text_area("How it came out, in your own words", max_chars=900, key=of("result"))
    files: dict[str, Any] = {}
    for column, (kind, label) in zip(
        st.columns(2), (("right", "Photograph of its right face"), ("left", "Photograph of its left face")), strict=True
    ):
        files[kind] = column.file_uploader(label, type=PICTURES, key=of(kind))
    left, right = st.columns(2)
    files["readings"] = left.file_uploader("Caliper readings (CSV, ODS, XLSX)", type=TABLES, key=of("readings"))
    files["coupon"] = right.file_uploader("Photo of its etched coupon", type=PICTURES, key=of("coupon"))
    photos = st.file_uploader(
        "Further photographs: the bar, a section", type=PICTURES, accept_multiple_files=True, key=of("photos")
    )
    force = not fresh and st.checkbox("Replace what is there already", key=of("force"))
    if not st.button("Write it down", key="log_write", type="primary"):
        return
    try:
        read: dict[str, Any] = {kind: saved(upload) for kind, upload in files.items() if upload}
        known = preview.Known(
            day=day,
            bar=[size or 0.0 for size in bar] if any(bar) else None,
            dips=tuple(preview.parse_dip(line) for line in dips.splitlines() if line.strip()),
            result=result.strip() or None,
            **read,
            photos=tuple(map(saved, photos)),
        )
        if OWN_LOG not in os.environ:
            preview.make_room(folder(), sum(upload.size for upload in (*files.values(), *photos) if upload))
        if fresh:
            preview.add_blade(log_folder(), job, name, known)
        else:
            preview.add_to_blade(log_folder(), name, known, force=force)
    except preview.PreviewError as error:
        st.error(told(error).replace("use --force (in Python, force=True)", "tick *Replace what is there already*"))
        return
    st.session_state.update(log_turn=turn + 1, log_said=f"{plain(name)} is written down.")
    st.rerun()


def look_at_one(blades: Sequence[preview.Blade]) -> None:
    known = {blade.record.name: blade for blade in reversed(blades)}
    first, second = st.columns(2)
    chosen = known[first.selectbox("Look at", tuple(known), key="log_look")]
    others = tuple(name for name in known if name != chosen.record.name)
    beside = second.selectbox("and compare with", (NONE, *others), key="log_beside") if others else NONE
    if {"right", "left"} & chosen.photographs.keys():
        past = preview.past_of(chosen)
        for picture, words in ((past.shown, "as it was shown"), (past.photograph, "as it came out")):
            st.image(
                data_url(preview.jpeg_bytes(picture), "jpeg"),
                width="stretch",
                caption=words.capitalize(),
                alt=f"{chosen.record.name}, {words}.",
            )
    if beside == NONE:
        if chosen.record.result:
            st.markdown(f"“{plain(chosen.record.result)}”")
        found = [(_named(what), *rest) for what, *rest in (each.words(units()) for each in preview.findings(chosen))]
        if found:
            st.table(columns_of(("", "Forecast, four of five within", "Found"), found))
    else:
        for head, rows in preview.compare(chosen, known[beside], units()).items():
            if rows:
                st.markdown(f"**{head}**")
                heads = ("", chosen.record.name, beside)
                st.table(
                    columns_of(heads, [tuple(map(plain, (_named(row.what), row.first, row.second))) for row in rows])
                )
    st.button(
        "Open it as work of yours", key="log_open", on_click=begin, args=(chosen.job, chosen.record.name),
        help="A copy of it as it was; the log stays as it is.",
    )  # fmt: skip


def _named(what: str) -> str:
    """Return what a row is called, with a capital."""
    return what[:1].upper() + what[1:]


def over_the_years(blades: Sequence[preview.Blade]) -> None:
    panel = st.expander("Forecast against found, over all blades", key="log_over_time", on_change="rerun")
    if not panel.open:
        return
    with panel:
        found = preview.over_time(blades)
        st.image(data_url(found.plot(units()), "png"), width="stretch", alt="Forecast and found, blade by blade.")
        st.download_button(
            "Its numbers (CSV)", found.csv(), "over_time.csv", "text/csv", key="log_numbers", on_click="ignore"
        )


def offer_forge(blades: Sequence[preview.Blade], table: Table) -> None:
    """Offer what all blades together say of the forge, for the next one."""
    learnt = [each for each in map(preview.taught, blades) if each is not None]
    if not learnt:
        return
    forge = preview.forge_over(learnt)
    st.markdown(plain(preview.forge_words(forge, len(learnt))))
    st.button("Use it in this work", key="log_forge", on_click=use_forge, args=(table, forge))


def keep_it(blades: Sequence[preview.Blade]) -> None:
    own = os.environ.get(OWN_LOG)
    if own:
        st.caption(f"Plain files in {plain(own)}; nothing leaves this machine.")
    else:
        st.caption(
            "Kept with your work; nothing leaves this machine. To have it in a folder of your own, save it, unpack it "
            "there, and start the page with `etch-preview page --log FOLDER`."
        )
    st.download_button(
        "Save the log (one file)", key="log_save", on_click="ignore", mime="application/zip", file_name="blades.zip",
        data=lambda: preview.zipped_log(blades),
    )  # fmt: skip
