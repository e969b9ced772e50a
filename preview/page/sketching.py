"""A drawing on paper, photographed, made into a pattern for the can."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import ask, key, units
from preview.page.field_controls import ask_fields
from preview.page.four_corners import FourCorners
from preview.page.session import folder, open_table, saved, table_of
from preview.page.showing import BLADE_AT_REST, SMALLER_BLADE, as_lines, data_url
from preview.page.starting import PICTURES
from preview.page.telling import told

EDGED = """<style>.st-key-becoming img { width: auto !important; max-height: 45vh; outline: 1px solid #80808066; }
.st-key-becoming [data-testid=stImageContainer] { display: flex; flex-direction: column; align-items: center; }
</style>"""
"""So that an upright sheet is seen whole, and where a white pattern ends on a white page."""


def show_sketch(job: preview.Job) -> None:
    """Ask for a photograph of a drawing, show what becomes of it, and lay it in the can when that is wanted."""
    for style in (SMALLER_BLADE, BLADE_AT_REST, EDGED):
        st.html(style)
    st.markdown("**A drawing on paper**, photographed or scanned, made into a clean pattern")
    upload = st.file_uploader("Photo of the drawing", type=PICTURES, key="sketch")
    if upload is None:
        st.info("Pencil, felt pen or ink, on any paper; all four corners of the sheet in the photo lay it straight.")
        return
    trouble = st.container()
    first = {"width": preview.round_down((min(70.0, job.pattern_area[0]), 1.0))[0]}
    asked: dict[str, Any] = st.session_state.setdefault(f"sketch of {upload.file_id}", first)
    try:
        path = saved(upload)
        photo = preview.find_sheet(path)
    except preview.PreviewError as error:
        trouble.error(told(error))
        return
    setting, becoming = st.columns([3, 2])
    name = f"corners of {upload.file_id}"
    sheet = FourCorners(name, "the sheet", asked, photo.picture, photo.tall, photo.corners)
    with setting:
        sheet.on_photo()
    with becoming, st.container(key="becoming"):
        straight, clean = st.empty(), st.empty()
    _controls(asked, sheet)
    try:
        sketch = preview.make_settings(preview.Sketch, asked, "sketch")
        straight.image(
            data_url(preview.jpeg_bytes(preview.lay_straight(path, sketch)), "jpeg"), width="stretch",
            alt="The drawing, laid straight.", caption="Laid straight",
        )  # fmt: skip
        found = preview.clean_sketch(path, sketch, job.powders, finest=preview.FINEST_FILLED)
    except preview.FileError as error:
        trouble.error(told(error))
        return
    except preview.PreviewError as error:
        clean.error(told(error))
        return
    clean.image(
        data_url(preview.png_bytes(found.picture, found.px_per_mm), "png"), width="stretch",
        alt="The pattern that it becomes.",
        caption=f"As it would lie in the can: {units().length(*found.size, form='.1f')}",
    )  # fmt: skip
    st.markdown(as_lines("\n".join(note.told(units()) for note in found.notes)))
    marks = (upload.file_id, sketch)
    row = st.container(horizontal=True, vertical_alignment="center")
    row.button("Lay it in the can", key="use_sketch", on_click=use_sketch, args=(found, path.stem, marks))
    if st.session_state.get("sketch_laid") == (marks, job.pattern):
        row.markdown(f"**{laid_words(found.size, job.pattern.size or found.size)}**", width="content")
    row.download_button(
        "Picture of it (PNG)", key="save_sketch", on_click="ignore", file_name=f"{path.stem}_pattern.png",
        data=lambda: preview.png_bytes(found.picture, found.px_per_mm), mime="image/png",
    )  # fmt: skip


def _controls(asked: dict[str, Any], sheet: FourCorners) -> None:
    ask_fields(asked, preview.Sketch, ("sketch",), ("width", "smallest", "smooth"), ("swap", "fill", "pale"))
    with st.expander("Corners and crop in numbers"):
        sheet.by_numbers()
        st.caption("What of the sheet is taken, in hundredths of it.")
        sides = asked.get("crop", (0.0, 0.0, 1.0, 1.0))
        asked["crop"] = tuple(
            ask(column, f"{name} side", 100 * share, key("sketch", name), min_value=0.0, max_value=100.0, step=1.0)
            / 100
            for column, name, share in zip(st.columns(4), ("Left", "Top", "Right", "Bottom"), sides, strict=True)
        )


def laid_words(asked: tuple[float, float], laid: tuple[float, float]) -> str:
    """Return that a drawing lies in the can, how wide, and that it is smaller than was asked for where it is."""
    words = f"Laid in the can, {units().length(laid[0])} wide"
    if laid[0] >= preview.round_down(asked)[0]:
        return f"{words}."
    return f"{words}: as large as this can lets it ({units().length(asked[0])} asked)."


def use_sketch(found: preview.CleanSketch, stem: str, marks: tuple[str, preview.Sketch]) -> None:
    """Lay a cleaned drawing in the can on the page, at its size; all else stays, and ``marks`` tell it from others."""
    job = preview.make_job(st.session_state.table)
    try:
        name = f"{stem}_pattern.png"
        place = preview.put_upload(folder(), {name: preview.png_bytes(found.picture, found.px_per_mm)})
        laid = preview.exchange_picture(job, place / name, place)
        room = laid.pattern_area
        if found.size[0] <= room[0] and found.size[1] <= room[1]:  # else as large as fits
            pattern = laid.pattern.model_copy(update={"size": preview.round_down(found.size)})
            laid = preview.check_job(laid.model_copy(update={"pattern": pattern}))
        open_table(table_of(laid))
        st.session_state.sketch_laid = (marks, laid.pattern)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
