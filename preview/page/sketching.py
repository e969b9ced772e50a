"""A drawing on paper, photographed, made into a pattern for the can."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import ask, ask_fields, key, units
from preview.page.session import folder, open_table, saved, table_of
from preview.page.showing import as_lines, data_url
from preview.page.telling import told

CORNERS = ("upper left", "upper right", "lower right", "lower left")


def show_sketch(job: preview.Job) -> None:
    """Ask for a photograph of a drawing, show what becomes of it, and lay it in the can when that is wanted."""
    st.markdown("**A drawing on paper**, photographed or scanned, made into a clean pattern")
    photo = st.file_uploader("Photo of the drawing", type=["png", "jpg", "jpeg", "webp", "tif", "bmp"], key="sketch")
    if photo is None:
        st.info("Pencil, felt pen or ink, on any paper; all four corners of the sheet in the photo lay it straight.")
        return
    first = {"width": round(min(70.0, job.pattern_area[0]), 1)}
    asked: dict[str, Any] = st.session_state.setdefault(f"sketch of {photo.file_id}", first)
    try:
        path = saved(photo)
        before, after = st.columns(2)
        with st.container():
            _controls(asked)
        sketch = preview.make_settings(preview.Sketch, asked, "sketch")
        found = preview.clean_sketch(path, sketch, job.powders, finest=preview.FINEST_FILLED)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    before.image(
        data_url(preview.jpeg_bytes(found.sheet), "jpeg"), width="stretch", alt="The drawing, laid straight.",
        caption="As photographed, laid straight",
    )  # fmt: skip
    after.image(
        data_url(preview.png_bytes(found.picture, found.px_per_mm), "png"), width="stretch",
        alt="The pattern that it becomes.",
        caption=f"As it would lie in the can: {units().length(*found.size, form='.1f')}",
    )  # fmt: skip
    st.markdown(as_lines("\n".join(note.told(units()) for note in found.notes)))
    use, keep = st.columns(2)
    use.button("Lay it in the can", key="use_sketch", on_click=use_sketch, args=(found, path.stem))
    keep.download_button(
        "Picture of it (PNG)", key="save_sketch", on_click="ignore", file_name=f"{path.stem}_pattern.png",
        data=lambda: preview.png_bytes(found.picture, found.px_per_mm), mime="image/png",
    )  # fmt: skip


def _controls(asked: dict[str, Any]) -> None:
    ask_fields(asked, preview.Sketch, ("sketch",), ("width", "smallest", "smooth"), "swap", "fill", "pale")
    with st.expander("Sheet and crop"):
        if st.checkbox("Say where the sheet's corners are", value="corners" in asked, key=key("sketch", "corners")):
            st.caption("In hundredths of the photo's width from the left, and of its height from the top.")
            given = asked.get("corners", ((0, 0), (1, 0), (1, 1), (0, 1)))
            asked["corners"] = tuple(
                tuple(
                    ask(column, f"{name}, {way}", 100 * share, key("sketch", name, way),
                        min_value=0.0, max_value=100.0, step=1.0) / 100
                    for way, share in zip(("across", "down"), place, strict=True)
                )
                for column, name, place in zip(st.columns(4), CORNERS, given, strict=True)
            )  # fmt: skip
        else:
            asked.pop("corners", None)
        st.caption("What of the sheet is taken, in hundredths of it.")
        sides = asked.get("crop", (0.0, 0.0, 1.0, 1.0))
        asked["crop"] = tuple(
            ask(column, f"{name} side", 100 * share, key("sketch", name), min_value=0.0, max_value=100.0, step=1.0)
            / 100
            for column, name, share in zip(st.columns(4), ("Left", "Top", "Right", "Bottom"), sides, strict=True)
        )


def use_sketch(found: preview.CleanSketch, stem: str) -> None:
    """Lay a cleaned drawing in the can on the page, at its size; all else stays."""
    job = preview.make_job(st.session_state.table)
    try:
        path = preview.save_sketch(found, folder() / f"{stem}_pattern.png", force=True)[0]
        laid = preview.exchange_picture(job, path, folder())
        room = laid.pattern_area
        if found.size[0] <= room[0] and found.size[1] <= room[1]:  # else as large as fits
            pattern = laid.pattern.model_copy(update={"size": found.size})
            laid = preview.check_job(laid.model_copy(update={"pattern": pattern}))
        open_table(table_of(laid))
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
