"""The day at the forge: whether the visitor's tools manage it, the work fitted to them, several blades of one kind."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.session import open_table, table_of
from preview.page.showing import columns_of, data_url, plain
from preview.page.telling import told
from preview.page.tools import ask_shop


def show_day(job: preview.Job) -> None:
    try:
        shop = ask_shop(job)
        plan = preview.make_plan(job, shop)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    (st.success if plan.possible else st.warning)(preview.plan_verdict(plan))
    if st.button("Fit the work to these tools", key="fit_day"):
        st.session_state.day = (job, shop)
    if st.session_state.get("day") == (job, shop):
        show_fitted(job, shop)
    for step in preview.plan_tables(plan, units()):
        st.markdown(f"**{plain(step.head)}**")
        if step.rows:
            show_rows([row[:-1] for row in step.rows])
        for line in step.lines:
            st.caption(plain(line))
    st.markdown(plain(preview.plan_sums(plan)))
    for line in preview.PLAN_NOTES:
        st.caption(plain(line))
    st.markdown("**After forging**")
    show_lines(preview.after_forging(plan, units()))
    batch = show_batch(plan)
    st.download_button(
        "The plan, to print", preview.day_text(plan, None, units(), batch), "plan.txt", "text/plain", key="save_day",
        on_click="ignore",
    )  # fmt: skip


def show_rows(rows: Sequence[tuple[str, ...]]) -> None:
    heads, *others = rows
    st.table(columns_of(heads, others))


def show_lines(lines: Sequence[str]) -> None:
    st.markdown("\n".join(f"- {plain(line)}" for line in lines))


def show_batch(plan: Any) -> Any:
    """Show blanks, hours and cost of so many blades of this kind, where they are asked for, and return them."""
    if not st.checkbox("Several of one kind; hours and cost", key="day_batch"):
        return None
    blades = int(st.number_input("Blades of this kind", 1, 200, 1, key="day_blades"))
    try:
        batch = preview.make_batch(plan, blades)
    except preview.PreviewError as error:
        st.error(told(error))
        return None
    st.markdown(plain(preview.batch_verdict(batch, units())))
    drawing = preview.blanks_svg(batch, plan.job.blade.outline.profile)
    st.image(data_url(drawing, "svg+xml"), width="stretch", alt="The bar with its blanks, the edge side down.")
    show_lines(preview.batch_lines(batch, units()))
    for rows in (preview.time_rows(batch), preview.cost_rows(batch)):
        show_rows(rows)
    st.download_button(
        "The bar with its blanks, at true size", drawing, "blanks.svg", "image/svg+xml", key="save_blanks",
        on_click="ignore",
    )  # fmt: skip
    return batch


def show_fitted(job: preview.Job, shop: preview.Shop) -> None:
    try:
        found = preview.suit(job, shop)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    with st.container(border=True):
        st.markdown("\n".join(line if line.startswith("- ") else f"{line}\n" for line in fitted_lines(found)))
        if found.faults:
            st.error(told(preview.JobError(found.faults)))
        else:
            st.button("Take it into the work", key="take_day", on_click=take_fitted, args=(found.job,))


def fitted_lines(found: Any) -> list[str]:
    """Return what fitting changes, for Markdown."""
    lines = preview.suited_text(found, units()).splitlines()
    return [f"- {plain(line[2:])}" if line.startswith("- ") else plain(line) for line in lines]


def take_fitted(job: preview.Job) -> None:
    """Let the page go on with the fitted work; that is a change like any other, and can be undone."""
    st.session_state.pop("day", None)
    open_table(table_of(job))
