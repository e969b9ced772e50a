"""The day at the forge: the visitor's own tools, whether they manage the work, and the work fitted to them."""

from __future__ import annotations

from typing import Any, Literal, get_args, get_origin

import streamlit as st

import preview
from preview.page.asking import ask, key, units
from preview.page.session import open_table, table_of
from preview.page.showing import columns_of, plain
from preview.page.telling import told

BESIDE = 4
"""Numbers that are asked for side by side."""


def show_day(job: preview.Job) -> None:
    tool = st.radio("Forge with", ("press", "hammer"), horizontal=True, key="day_tool")
    values = {part: ask_tool(part) for part in (tool, "furnace")}
    try:
        shop = preview.make_settings(preview.Shop, {"title": f"this {tool}", **values}, "shop")
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
            heads, *rows = (row[:-1] for row in step.rows)
            st.table(columns_of(heads, rows))
        for line in step.lines:
            st.caption(plain(line))
    st.markdown(plain(preview.plan_sums(plan)))
    for line in preview.PLAN_NOTES:
        st.caption(plain(line))
    st.markdown("**After forging**")
    st.markdown("\n".join(f"- {plain(line)}" for line in preview.after_forging(plan, units())))
    st.download_button(
        "The plan, to print", preview.day_text(plan, None, units()), "plan.txt", "text/plain", key="save_day",
        on_click="ignore",
    )  # fmt: skip


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


def ask_tool(part: str) -> dict[str, Any]:
    """Ask for the tool, or furnace, that is called ``part``; return its values, mm and °C."""
    kind = preview.Shop.part(part)
    instead = kind.either.fields[1:] if kind.either else ()
    names = [name for name in kind.asked() if name not in instead]
    st.markdown(f"**Your {part}**")
    values: dict[str, Any] = {}
    for first in range(0, len(names), BESIDE):
        for column, name in zip(st.columns(BESIDE), names[first : first + BESIDE], strict=False):
            values[name] = _asked(column, kind, name, part)
    return values


def _asked(where: Any, kind: type[preview.Settings], name: str, part: str) -> Any:
    control, field = kind.control(name), kind.model_fields[name]
    if control is None:
        raise KeyError(name)
    start = control.start if field.is_required() or field.default is None else field.default
    widget_key = key("day", part, name)
    if isinstance(start, bool):
        return where.checkbox(control.label, start, key=widget_key, help=control.help or None)
    if get_origin(field.annotation) is Literal:
        return where.selectbox(control.label, get_args(field.annotation), key=widget_key, help=control.help or None)
    return ask(where, control.label, start, widget_key, unit=control.unit, min_value=0.0, help=control.help or None)
