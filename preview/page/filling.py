"""Filling the can: with dividers, by weight."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Literal

import streamlit as st

import preview
from preview.page.asking import Table, ask, key, units
from preview.page.session import folder, saved, use_pattern
from preview.page.showing import as_lines, columns_of, data_url, picture_spot
from preview.page.telling import told
from preview.page.working import unless_stopped


def show_dividers(job: preview.Job, table: Table) -> None:
    try:
        printing = preview.make_settings(preview.Printing, ask_printing(), "printing")
    except preview.PreviewError as error:
        st.error(told(error))
        return
    outlined = st.checkbox(
        "Numbers in the SVG as outlines", key="outlined", help="For programs that have no letters, such as a cutter's."
    )
    st.markdown("**An insert: all walls in one line, for spiral printing**")
    there = show_insert(job, printing, outlined)
    walls = st.expander(
        "The other way: walls for ordinary printing", expanded=not there, on_change="rerun", key="walls"
    )
    if walls.open:
        with walls:
            show_walls(job, printing, outlined)
    st.caption(preview.CAUTIONS[0])
    with st.expander("Dividers you have drawn already"):
        own_dividers(job, table)


def ask_printing() -> Table:
    """Ask how the dividers are printed."""
    usual = preview.Printing()
    with st.container(horizontal=True, vertical_alignment="bottom"):
        one: Callable[..., float] = partial(ask, st, unit="mm", width=150)
        return {
            "bead": one(
                "Bead", usual.bead, key("bead"), min_value=0.1, max_value=3.0, step=0.05, help="Width of a wall."
            ),
            "layer": one("Layer", usual.layer, key("layer"), min_value=0.04, max_value=1.0, step=0.02),
            "clearance": one(
                "Clearance", usual.clearance, key("clearance"), min_value=0.0, step=0.05,
                help="Gap between the insert and the can's side.",
            ),
            "base": one(
                "Base", usual.base, key("base"), min_value=0.0, step=0.2,
                help="A plate under the insert; it burns out and leaves void. 0: none.",
            ),
            "tolerance": one(
                "Smoothing", usual.tolerance, key("tolerance"), min_value=0.01, max_value=1.0, step=0.05,
                help="How far a wall may stray from the drawn line.",
            ),
            "bed": tuple(
                one(f"Bed {name}", size, key("bed", name), min_value=10.0, step=10.0)
                for name, size in zip(("width", "depth", "height"), usual.bed, strict=True)
            ),
        }  # fmt: skip


def show_insert(job: preview.Job, printing: preview.Printing, outlined: bool) -> bool:
    """Show the insert and offer its files; return whether there is one, or may be."""

    def make() -> tuple[preview.Insert, tuple[preview.Room, ...]]:
        made = preview.insert_of(job, printing)
        return made, preview.can_plan(job, made)

    try:
        found = unless_stopped("insert", "Joining the walls to one line", (job, printing), make)
    except preview.PreviewError as error:
        st.error(told(error))
        return False
    if found is None:
        return True
    made, plan = found
    chosen = units()
    st.image(
        data_url(preview.insert_picture(made, plan, job.powders), "svg+xml"), width="stretch",
        alt=f"The insert in the can, {len(plan)} rooms numbered, {len(made.found.bridges)} bridges orange.",
    )  # fmt: skip
    st.caption(
        "The can from above. Black: walls of the pattern. Orange: what is printed besides, bridges and along the can's "
        "side, to join them to one line. The rooms have their powders' colours, made pale."
    )
    lines = [*preview.insert_words(made, chosen), *(note.told(chosen) for note in preview.insert_notes(made))]
    st.markdown(as_lines("\n".join(lines)))
    offer("insert", preview.insert_names(made), lambda: preview.insert_files(made, plan, chosen, outlined=outlined))
    return True


def show_walls(job: preview.Job, printing: preview.Printing, outlined: bool) -> None:
    chosen = units()
    try:
        found = preview.dividers_of(job, printing)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    st.image(
        data_url(preview.wall_picture(found), "svg+xml"), width="stretch",
        alt=f"{len(found.parts)} dividers, each with its number, in the can's outline.",
    )  # fmt: skip
    st.caption("The can from above, the parts numbered. Orange rings: too narrow for powder.")
    st.markdown(as_lines("\n".join([*preview.divider_words(found, chosen), *found.trouble_lines(chosen)])))
    offer("dividers", preview.DIVIDER_FILES, lambda: preview.printable_files(found, chosen, outlined=outlined))


def offer(name: str, files: tuple[str, ...], make: Callable[[], Mapping[str, bytes]]) -> None:
    """Offer files that are made once one of them is asked for: all in one, and each."""
    with st.container(horizontal=True):
        st.download_button(
            "All of these (ZIP)", key=f"save_{name}.zip", on_click="ignore", file_name=f"{name}.zip", type="primary",
            mime="application/zip", data=lambda: preview.pack(make()),
        )  # fmt: skip
        for file in files:
            stem, _, kind = file.rpartition(".")
            label = {"txt": "Text"}.get(kind, kind.upper()) + stem.removeprefix(name).replace("-", " ")
            st.download_button(
                label, key=f"save_{file}", on_click="ignore", file_name=file, data=partial(_one_of, make, file)
            )


def _one_of(make: Callable[[], Mapping[str, bytes]], file: str) -> bytes:
    return make()[file]


def own_dividers(job: preview.Job, table: Table) -> None:
    drawing = st.file_uploader("Solid or drawing of them", type=["stl", "3mf", "svg", "dxf"], key="own_dividers")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        named: tuple[Literal["mm", "inch", "px"], ...] = ("mm", "inch", "px")
        unit = st.selectbox(
            "Unit", named, key="own_unit", width=150,
            help="Where the file states none. Of a drawing's pixels (px) 96 are an inch.",
        )  # fmt: skip
        one: Callable[..., Any] = partial(ask, st, unit="mm", width=150, min_value=0.0)
        close = one(
            "Close gaps up to", 0.0, key("own_close"), max_value=2.0, step=0.05,
            help="Of a drawing: between the end of a line and what it nearly meets.",
        )  # fmt: skip
        cut = one(
            "Cut a solid at", None, key("own_cut"), placeholder="half way", help="Height over its foot."
        )  # fmt: skip
        ways: dict[str, Literal["walls", "body"] | None] = {
            "by its look": None, "the walls": "walls", "a body": "body",
        }  # fmt: skip
        solid = st.selectbox(
            "A solid is", list(ways), key="own_solid", width=150,
            help="The walls themselves, or a body whose outline is printed round and round.",
        )  # fmt: skip
        bead = one(
            "Bead round it", preview.Printing().bead, key("own_bead"), max_value=3.0, step=0.05,
            help="Width of the bead round a body.",
        )  # fmt: skip
    if drawing is None:
        return
    try:
        regions = preview.read_regions(
            saved(drawing), job.pattern_area, unit=unit, height=cut, solid=ways[solid], close=close, bead=bead
        )
    except preview.PreviewError as error:
        st.error(told(error))
        return
    powders = [powder.name for powder in job.powders]
    numbers = range(1, len(regions.polygons) + 1)
    for name in powders[1:]:
        st.multiselect(f"Regions of {name}", numbers, key=f"fill_{name}", help="All others hold the first powder.")
    assigned = {
        number: name for name in powders[1:] for number in st.session_state[f"fill_{name}"] if number in numbers
    }
    px_per_mm = 1000 / job.pattern_area[0]
    picture = regions.numbered(job.powders, assigned, px_per_mm)
    picture_spot(
        preview.jpeg_bytes(picture), "The can, its regions numbered. Choose one to change its powder.", "regions",
        lambda right, down: next_powder(regions, powders, right, down),
    )  # fmt: skip
    st.caption("Click a region to change its powder, or list the numbers.")
    st.markdown(as_lines("\n".join(note.told(units()) for note in regions.notes)))
    if st.button("Fill the can so", key="use_regions"):
        content = regions.filled(job.powders, assigned)
        filled = preview.png_bytes(content, content.shape[1] / job.pattern_area[0])
        try:
            place = preview.put_upload(folder(), {"own_dividers.png": filled})
        except preview.PreviewError as error:
            st.error(told(error))
        else:
            use_pattern(table, preview.filled_job(job, "own_dividers.png").model_copy(update={"folder": place}))
        st.rerun()


def next_powder(regions: preview.Regions, powders: list[str], right: float, down: float) -> None:
    """Give the region at a spot of the picture (shares of its sides) the next powder."""
    width, height = regions.room
    number = regions.at((right - 0.5) * width, (0.5 - down) * height)
    lists = {name: list(st.session_state.get(f"fill_{name}", [])) for name in powders[1:]}
    held = next((name for name, numbers in lists.items() if number in numbers), powders[0])
    following = powders[(powders.index(held) + 1) % len(powders)]
    if held in lists:
        lists[held].remove(number)
    if following in lists:
        lists[following].append(number)
    for name, numbers in lists.items():
        st.session_state[f"fill_{name}"] = numbers


def show_budget(job: preview.Job) -> None:
    first, second, third = st.columns(3)
    margin = ask(first, "Bar beyond each end", 10.0, key("margin"), unit="mm", min_value=0.0, max_value=200.0, step=1.0)
    read_at = ask(
        second, "Caliper read at", 1000.0, key("read_at"), unit="°C", min_value=20.0, max_value=1300.0, step=50.0
    )
    bead = ask(
        third, "Dividers' walls", 0.4, key("wall_bead"), unit="mm", min_value=0.0, max_value=3.0, step=0.05,
        help="0 where the dividers are drawn out again before the can is closed.",
    )  # fmt: skip
    chosen = units()
    try:
        found = preview.weigh(job, bead=bead, margin=margin, read_at=read_at)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    if found.notes:
        st.warning(as_lines("\n".join(note.told(chosen) for note in found.notes)))
    fill, steps, totals = preview.budget_tables(found, chosen)
    for heads, *rows in (fill, steps):
        st.table(columns_of(heads, rows))
    st.table({"": dict(totals)}, hide_header=True)
    st.download_button(
        "Budget (text)", key="save_budget", on_click="ignore", mime="text/plain", file_name="budget.txt",
        data=lambda: preview.budget_text(job, found, chosen),
    )  # fmt: skip
    st.caption(" ".join(preview.CAUTIONS[:3]))
