"""Filling the can: with dividers, by weight."""

from __future__ import annotations

from typing import Literal

import streamlit as st

import preview
from preview.page.asking import Table, ask, key, units
from preview.page.session import folder, saved, use_pattern
from preview.page.showing import as_lines, columns_of, data_url, picture_spot
from preview.page.telling import told


def show_dividers(job: preview.Job, table: Table) -> None:
    first, second, third, fourth = st.columns(4)
    bed = preview.Printing().bed
    asked = {
        "bead": ask(
            first, "Bead", 0.4, key("bead"), unit="mm", min_value=0.1, max_value=3.0, step=0.05, help="Width of a wall."
        ),
        "tolerance": ask(
            second, "Smoothing", 0.1, key("tolerance"), unit="mm", min_value=0.01, max_value=1.0, step=0.05,
            help="How far a wall may stray from the drawn line.",
        ),
        "bed": (
            ask(third, "Bed width", bed[0], key("bed_width"), unit="mm", min_value=10.0, step=10.0),
            ask(fourth, "Bed depth", bed[1], key("bed_depth"), unit="mm", min_value=10.0, step=10.0),
            bed[2],
        ),
    }  # fmt: skip
    chosen = units()
    try:
        found = preview.dividers_of(job, preview.make_settings(preview.Printing, asked, "printing"))
    except preview.PreviewError as error:
        st.error(told(error))
    else:
        files = preview.printable_files(found, chosen)
        st.image(
            data_url(files["dividers.svg"], "svg+xml"), width="stretch",
            alt=f"{len(found.parts)} dividers, each with its number, in the can's outline.",
        )  # fmt: skip
        tall = chosen.length(found.height, form="g")
        st.caption(
            f"{len(found.parts)} parts, {tall} tall; their walls are {found.share:.1%} of the can, void once they burn "
            "out."
        )
        st.markdown(as_lines("\n".join(found.trouble_lines(chosen))))
        for column, (name, content) in zip(st.columns(len(files)), files.items(), strict=True):
            column.download_button(
                name.rpartition(".")[2].upper(), key=f"save_{name}", on_click="ignore", file_name=name, data=content,
                width="stretch",
            )  # fmt: skip
    st.caption(preview.CAUTIONS[0])
    with st.expander("Dividers you have drawn already"):
        own_dividers(job, table)


def own_dividers(job: preview.Job, table: Table) -> None:
    drawing = st.file_uploader("Solid or drawing of them", type=["stl", "3mf", "svg", "dxf"], key="own_dividers")
    unit, cut = st.columns(2)
    named: tuple[Literal["mm", "inch"], ...] = ("mm", "inch")
    in_unit = unit.selectbox("Unit, where the file states none", named, key="own_unit")
    height = ask(
        cut, "Cut a solid at, over its foot", None, key("own_cut"), unit="mm", min_value=0.0, placeholder="half way"
    )
    if drawing is None:
        return
    try:
        regions = preview.read_regions(saved(drawing), job.pattern_area, unit=in_unit, height=height)
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
    notes = " ".join(note.told(units()) for note in regions.notes)
    st.caption(f"Click a region to change its powder, or list the numbers. {notes}")
    if st.button("Fill the can so", key="use_regions"):
        content = regions.filled(job.powders, assigned)
        name = f"own_{st.session_state.opened}.png"
        (folder() / name).write_bytes(preview.png_bytes(content, content.shape[1] / job.pattern_area[0]))
        use_pattern(table, preview.filled_job(job, name).model_copy(update={"folder": folder()}))
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
