"""Where in the bar to cut, on the page: the places at which the motif most likely comes out whole."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import ask, key, units
from preview.page.session import open_table, table_of
from preview.page.showing import as_lines, columns_of, data_url, plain
from preview.page.telling import told
from preview.page.working import working

SURE = 0.8
"""Chance that all parts come out whole under which the answer is a warning."""
LOWEST = 0.6
"""Share of the grind's height from which it may change, as it is offered."""


def show_cutting(job: preview.Job) -> None:
    """Ask what is to be kept and what may change, and show the best places with a button for each."""
    asked = ask_cut(job)
    if st.button("Find the place", key="find_place"):
        try:
            with working("Cutting on paper"):
                cut = preview.make_settings(preview.Cut, asked, "place")
                found = preview.find_places(job, cut)
                st.session_state.cut = job, found, preview.jpeg_bytes(preview.places_picture(found))
        except preview.PreviewError as error:
            st.session_state.pop("cut", None)
            st.error(told(error))
    if "cut" not in st.session_state:
        st.info(
            "Until the blade is cut, its place in the bar is free: see where the motif most likely comes out whole."
        )
        return
    of, found, picture = st.session_state.cut
    if _aside(of) != _aside(job):
        st.warning("The work has changed since: find the place again.")
    show_places(job, of, found, picture)


def _aside(job: preview.Job) -> preview.Job:
    """Return ``job`` without what a place changes, and what it does not ask for."""
    placement = type(job.blade.placement)()
    blade = job.blade.model_copy(update={"placement": placement})
    same = {"blade": blade, "grind": preview.Job.part("grind")(), "light": preview.Job.part("light")()}
    return job.model_copy(update={**same, "title": "", "measured_bar": None})


def ask_cut(job: preview.Job) -> dict[str, Any]:
    """Return what is wanted, as plain values."""
    measured = ask_measured(job)
    face, margin = st.columns(2)
    side = face.selectbox("On the face", ["right", "left"], key="cut_face")
    steel = ask(margin, "Steel left round each part", 1.0, key("cut", "margin"), unit="mm", min_value=0.0, step=0.5)
    keep = st.text_input(
        "Keep whole (left empty: all that can be)", key="cut_keep", placeholder="numbers from the picture, as 1; 2",
        help="With semicolons between. 2=0.5 counts part 2 half as much as the others. 20,5,30,12 is a box on the "
        "blade instead: it begins 20 mm from the heel and 5 mm from the edge, and is 30 mm long and 12 mm high.",
    )  # fmt: skip
    turned, mirrored, ground = st.columns(3)
    values: dict[str, Any] = {
        "face": side, "margin": steel,
        "keep": preview.parse_keep([part.strip() for part in keep.split(";") if part.strip()]),
        "turned": turned.checkbox(
            "The bar may be turned round", key="cut_turned", help="The picture then stands on its head."
        ),
        "mirrored": mirrored.checkbox(
            "It may lie on its other face", key="cut_mirrored", help="The picture is then mirrored, heel to tip."
        ),
    }  # fmt: skip
    if measured is not None:
        values["bar"] = measured
    if ground.checkbox("The grind height may change", key="cut_grind"):
        high = float(job.blade.outline.height)
        low, most = st.columns(2)
        values["heights"] = [
            ask(where, label, start, key("cut", label), unit="mm", min_value=0.1, step=0.5)
            for where, label, start in ((low, "From a height of", round(LOWEST * high, 1)), (most, "up to", high))
        ]
    return values


def ask_measured(job: preview.Job) -> list[float] | None:
    """Return the bar's length and width (mm) as they were measured; None until they are.

    A bar that was photographed lies on the bench: it is asked for first, and from nothing, so that what was reckoned is
    not taken for measured.
    """
    sizes = job.history.bar.size[:2]
    photographed = job.found is not None and job.found.of == "bar"
    if photographed:
        st.markdown(
            "**Measure the bar first.** The photograph does not tell how long and wide it is; reckoned are "
            f"{units().length(*sizes, form='.1f')}."
        )
    elif not st.checkbox("The bar is measured", key="cut_measured", help="Else its length and width are unsure."):
        return None
    starts = job.measured_bar or ((None, None) if photographed else [round(size, 1) for size in sizes])
    asked = [
        ask(where, label, start, key("cut", label), unit="mm", min_value=0.1, step=0.5)
        for where, label, start in zip(st.columns(2), ("Its length", "Its width"), starts, strict=True)
    ]
    return None if None in asked else asked


def show_places(job: preview.Job, of: preview.Job, found: preview.Places, picture: bytes) -> None:
    """Show the places that were found for the work as it was ``of``, with a button that takes each into ``job``."""
    chosen = units()
    box = st.info if found.stays else st.success
    (st.warning if found.best[0].all_whole < SURE else box)(plain(preview.place_verdict(found)))
    if found.drawing is not None:
        offered(
            preview.drawing_words(found, chosen), "Draw it so", "draw_so", found.laid_so(job, found.drawing.place)
        )  # fmt: skip
    with st.container(key="places"):  # on a phone it is moved within its box
        st.image(
            data_url(picture, "jpeg"), width="stretch",
            alt="The bar's flat face once for each place: the blade's outline, the parts numbered, grey if cut into.",
        )  # fmt: skip
    if not found.stays:
        for number, place in enumerate(found.best, start=1):
            words = f"Place {number}: {preview.place_words(place, of, chosen)}."
            offered(words, "Lay the blade so", key("lay_blade", number), found.laid_so(job, place))
    heads, *rows = preview.place_rows(found, chosen)
    st.table(columns_of(heads, rows))
    if found.drawing is None and (told := preview.drawing_words(found, chosen)):
        st.caption(told)
    if found.parts.left_out:
        st.caption(as_lines("\n".join(each.told(chosen) for each in found.parts.left_out)))
    st.caption(preview.marking_words(found, chosen))
    st.download_button(
        "These words", preview.place_text(found, of, chosen), "place.txt", "text/plain", key="save_place",
        on_click="ignore",
    )  # fmt: skip


def offered(words: str, label: str, name: str, changed: preview.Job) -> None:
    """Show what may be done, with a button that does it."""
    place, button = st.columns([5, 2], vertical_alignment="center")
    place.markdown(plain(words))
    button.button(label, key=name, on_click=use_place, args=(changed,), width="stretch")


def use_place(job: preview.Job) -> None:
    """Let the page go on with the blade laid so; that is a change like any other, and can be undone."""
    open_table(table_of(job))
