"""A photographed template on the page: what tells how large it is."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, ask, key
from preview.page.field_controls import control_of
from preview.page.session import saved
from preview.page.showing import picture_spot
from preview.page.starting import DRAWINGS

PHOTOGRAPHS = ["jpg", "jpeg", "png", "tif", "tiff", "webp"]
TYPES = [*DRAWINGS, *PHOTOGRAPHS]
PAPERS = {"a4": "A4", "a3": "A3", "letter": "Letter", "tabloid": "Tabloid"}
LENGTH, MARKS, PAPER = "The blade's length", "Two marks on a ruler", "The paper that it lies on"


def told_of(upload: Any) -> Table | None:
    """Return what is stated of an uploaded drawing; of a photograph ask for it, None while it is not told yet."""
    if not upload.name.lower().endswith(tuple(PHOTOGRAPHS)):
        return {}
    asked: Table = st.session_state.setdefault(f"template of {upload.file_id}", {})
    way = st.selectbox("What tells how large it is", (LENGTH, MARKS, PAPER), key="template_way")
    if way == LENGTH:
        control = control_of(preview.DrawnOutline, "length")
        asked["length"] = ask(
            st, "Length of the template's blade", asked.get("length"), key("template", "length"), unit=control.unit,
            min_value=control.least, help="Heel to tip, without the tang.",
        )  # fmt: skip
        return None if asked["length"] is None else {"length": asked["length"]}
    if way == PAPER:
        name = st.selectbox("Paper", list(PAPERS), format_func=PAPERS.__getitem__, key="template_paper")
        st.caption("All four corners have to show, on a darker table.")
        return {"paper": name}
    marks: list[tuple[float, float]] = asked.setdefault("marks", [])
    picture_spot(
        preview.numbered(preview.find_sheet(saved(upload)).picture, marks),
        "The photo. Choose a mark on the ruler.", f"template spot {upload.file_id}",
        lambda right, down: _add(marks, (right, down)),
    )  # fmt: skip
    if len(marks) < 2:
        st.info("Click two marks on the ruler in the photo, far from each other.")
        return None
    st.caption("In hundredths of the photo's width from the left, and of its height from the top. Click to begin anew.")
    for place, (column, name) in enumerate(zip(st.columns(2), ("First mark", "Second mark"), strict=True)):
        marks[place] = tuple(
            ask(column, f"{name}, {way}", 100 * share, key("template", place, way, share),
                min_value=0.0, max_value=100.0, step=0.1) / 100
            for way, share in zip(("across", "down"), marks[place], strict=True)
        )  # fmt: skip
    apart = control_of(preview.DrawnOutline.part("ruler"), "apart")
    asked["apart"] = ask(
        st, apart.label, asked.get("apart"), key("template", "apart"), unit=apart.unit, help=apart.help,
        min_value=1.0, step=apart.step,
    )  # fmt: skip
    if asked["apart"] is None:
        return None
    return {"ruler": {"first": marks[0], "second": marks[1], "apart": asked["apart"]}}


def _add(marks: list[tuple[float, float]], spot: tuple[float, float]) -> None:
    """Take a clicked mark; a third one begins anew."""
    if len(marks) > 1:
        marks.clear()
    marks.append(spot)
