"""Handing over: sheets for the client and the shop, files, and cautions."""

from __future__ import annotations

from typing import Any, Literal

import streamlit as st

import preview
from preview.page.asking import Table, key, units
from preview.page.blade_log import logged
from preview.page.session import called, keep_words, sheet_words
from preview.page.showing import as_lines, data_url
from preview.page.telling import told
from preview.page.tools import asked_shop
from preview.page.versions import choose_versions
from preview.page.working import working


def show_sheets(job: preview.Job, table: Table) -> None:
    title = st.text_input("Title", table.get("title", ""), max_chars=120, key=key("sheet_title"))
    if title != table.get("title", ""):
        table["title"] = title
        st.rerun(scope="fragment")
    first, second, third = st.columns(3)
    last = sheet_words()

    def line(where: Any, label: str, name: str) -> str:
        return str(where.text_input(label, getattr(last, name), max_chars=120, key=key("sheet", name)))

    values = {
        "maker": line(first, "Made by", "maker"),
        "made_for": line(second, "Made for", "made_for"),
        "date": line(third, "Date", "date"),
        "story": st.text_area(
            "The pattern's story, for the client", last.story, max_chars=1500, key=key("sheet", "story")
        ),
    }
    words = preview.make_settings(preview.SheetWords, values, "sheet")
    keep_words(words)
    kind_of, paper_of = st.columns(2)
    kinds: tuple[Literal["client", "shop"], ...] = ("client", "shop")
    kind = kind_of.selectbox(
        "Sheet for", kinds, key="sheet_kind",
        help="Client: both faces at true size, likely looks, plain words. Shop: fill, targets, grind table, templates.",
    )  # fmt: skip
    paper = paper_of.selectbox("Paper, landscape", ["a4", "letter", "a3", "tabloid"], key="sheet_paper")
    beside: tuple[preview.Job, ...] = ()
    if kind == "client":
        try:
            beside = choose_versions(job)
        except preview.PreviewError as error:
            st.error(told(error))
    past = choose_past() if kind == "client" and not beside else None
    shop = choose_day() if kind == "shop" else None
    if beside:
        chosen = units()
        st.download_button(
            "All versions in the hand (one page)", lambda: preview.turning_page(job, beside, words, chosen),
            "versions.html", "text/html", key="save_versions", on_click="ignore",
            help="Opens in any browser, a phone's too, and fetches nothing from the net: your client turns each "
            "version, in the same light, and reads of each how far its pattern may lie off. Under 3 MB in all.",
        )  # fmt: skip
    asked = (job, kind, words, paper, units(), beside)
    if st.button("Make the sheet", key="make_sheet"):
        try:
            with working("Making the sheet"):
                day = None if shop is None else preview.make_plan(job, shop)
                st.session_state.sheet = (asked, past, shop, preview.sheet_pdf(*asked, past=past, day=day))
        except preview.PreviewError as error:
            st.error(told(error))
    if "sheet" not in st.session_state:
        return
    made_of, *with_it, pdf = st.session_state.sheet
    if (made_of, with_it) != (asked, [past, shop]):
        st.warning("Something has changed since this sheet was made: make it again.")
    st.download_button(
        f"The {made_of[1]} sheet (PDF)", pdf, f"{made_of[1]}_sheet.pdf", "application/pdf", key="save_sheet",
        on_click="ignore",
    )  # fmt: skip
    for number, page in enumerate(preview.page_pictures(pdf, 110), start=1):
        st.image(data_url(page, "png"), width="stretch", alt=f"Page {number} of the {made_of[1]} sheet.")


def choose_day() -> preview.Shop | None:
    """Ask whether the day at the forge goes on the shop's sheet, and return the tools that it is planned for."""
    shop = asked_shop()
    if shop is None:
        st.caption("Say under *The day* what you forge with, and the day at the forge goes on this sheet too.")
        return None
    return shop if st.checkbox("With the day at the forge, by your tools", value=True, key="sheet_day") else None


def choose_past() -> preview.Blade | None:
    """Ask which blade of the log stands beside its own preview, where one was photographed."""
    try:
        shown = {each.record.name: each for each in reversed(logged()) if {"right", "left"} & each.photographs.keys()}
    except preview.PreviewError:  # told where the log is
        return None
    if not shown:
        return None
    name = st.selectbox(
        "A blade made before, beside its own preview", ("None", *shown), key="sheet_past",
        help="From your blade log: what was shown of it, and the photograph of what it came out as.",
    )  # fmt: skip
    return shown.get(name)


def show_saving(job: preview.Job, shown: preview.Preview) -> None:
    chosen = units()
    name = (job.title or "blade").split(",")[0].lower().replace(" ", "_")
    st.download_button(
        "Save everything (one file)", key="save_all", on_click="ignore", mime="application/zip", type="primary",
        file_name=f"{called()}.zip", data=lambda: preview.pack_job(job),
        help="Your work with its pattern picture and calibration. Open it again under *Start from*, on any machine.",
    )  # fmt: skip
    st.download_button(
        "Picture (PNG, prints at true size)", key="save_png", on_click="ignore", mime="image/png",
        file_name=f"{name}.png", data=lambda: preview.png_bytes(preview.preview(job, px_per_mm=16).picture, 16.0),
    )  # fmt: skip
    st.download_button(
        "Settings alone (text)", key="save_job", on_click="ignore", mime="application/toml", file_name=f"{name}.toml",
        data=lambda: preview.dump_job(job),
        help="Keep it beside its pattern picture; open both here or on the command line.",
    )  # fmt: skip
    forge = job.forge
    if forge:
        st.download_button(
            "Calibration file", key="save_used_forge", on_click="ignore", mime="application/toml",
            file_name=job.calibration or "forge.toml", data=lambda: preview.dump_calibration(forge),
            help="The settings refer to it: keep both in one folder.",
        )  # fmt: skip
    found = job.found
    if found:
        st.download_button(
            "What the photograph showed", key="save_seen", on_click="ignore", mime="application/toml",
            file_name=job.seen or "seen.toml", data=lambda: preview.dump_seen(found),
            help="The settings refer to it: keep both in one folder.",
        )  # fmt: skip
    st.download_button(
        "Report (text)", key="save_report", on_click="ignore", mime="text/plain", file_name=f"{name}.txt",
        data=lambda: preview.report_text(shown, chosen),
    )  # fmt: skip


def show_cautions() -> None:
    st.markdown(as_lines("\n".join(preview.CAUTIONS)))
