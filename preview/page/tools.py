"""The visitor's own tools, prices and times: asked for as the shop file has them, kept as such a file, opened again."""

from __future__ import annotations

from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, key, labelled, units
from preview.page.field_controls import ask_either, ask_fields
from preview.page.session import saved
from preview.page.telling import told

BESIDE = 4
"""Numbers that are asked for side by side."""

FORGE_WITH = {"press": ("press",), "hammer": ("hammer",), "press and hammer": ("press", "hammer")}
"""What there is to forge with, and which parts of the shop that is."""

EXTRAS = {"mill": "A mill", "grinder": "A grinder", "bath": "An etch bath", "saw": "A saw, disc or jet for blanks"}
"""What a shop may have beside."""


def ask_shop(job: preview.Job) -> preview.Shop:
    """Ask for the tools; raise `PreviewError` where they are none to work with."""
    table: Table = st.session_state.setdefault("shop", {"title": "", "with": "press", "have": []})
    st.file_uploader("Open tools that you kept", type=["toml"], key="open_shop", on_change=open_shop)
    if fault := st.session_state.pop("shop_fault", None):
        st.error(fault)
    table["with"] = st.radio("Forge with", list(FORGE_WITH), horizontal=True, key=_key(table["with"], "with"))
    parts = FORGE_WITH[table["with"]]
    for part in (*parts, "furnace"):
        st.markdown(f"**Your {part}**")
        _ask_part(table, part)
    with st.expander("Mill, grinder, bath, saw; your prices and times"):
        table["have"] = [part for part, label in EXTRAS.items() if _has(table, part, label)]
        _ask_prices(table.setdefault("prices", {}), job)
        st.markdown("**Your times**, for what is no forging")
        _ask_what_is_known(table.setdefault("times", {}), "times")
    shop = _shop_of(table)
    st.download_button(
        "Keep these tools as a file", preview.dump_shop(shop), "shop.toml", "application/toml", key="save_shop",
        on_click="ignore",
    )  # fmt: skip
    return shop


def asked_shop() -> preview.Shop | None:
    """Return the tools as they were asked for last; None where nobody was, or they are none to work with."""
    table = st.session_state.get("shop")
    try:
        return _shop_of(table) if table and "furnace" in table else None
    except preview.PreviewError:  # told where they are asked for
        return None


def _shop_of(table: Table) -> preview.Shop:
    parts = FORGE_WITH[table["with"]]
    title = {"title": table["title"] or f"this {' and '.join(parts)}"}
    there = {part: table[part] for part in (*parts, "furnace", *table["have"], "prices", "times")}
    return preview.make_settings(preview.Shop, {**title, **there}, "shop")


def open_shop() -> None:
    """Take the tools of an uploaded file, before the page runs."""
    upload = st.session_state.get("open_shop")
    if upload is None:
        return
    try:
        shop = preview.load_shop(saved(upload))
    except preview.PreviewError as error:
        st.session_state.shop_fault = told(error)
        return
    table = shop.model_dump(mode="json", exclude_none=True)
    there = next(name for name, parts in reversed(FORGE_WITH.items()) if all(part in table for part in parts))
    st.session_state.shop = {**table, "with": there, "have": [part for part in EXTRAS if part in table]}
    st.session_state.shop_opened = st.session_state.get("shop_opened", 0) + 1


def _key(start: Any, *path: Any) -> str:
    """Return a widget key that changes with each opened shop too; a widget that is new shows ``start``."""
    found = key("shop", st.session_state.get("shop_opened", 0), *path)
    st.session_state.setdefault(found, start)
    return found


def _has(shop: Table, part: str, label: str) -> bool:
    """Ask whether the shop has a ``part``, and for it where it has; what is set aside keeps its numbers."""
    there = st.checkbox(label, key=_key(part in shop["have"], part, "there"))
    if there:
        _ask_part(shop, part)
    return there


def _ask_part(shop: Table, part: str) -> None:
    """Ask for the settings of a ``part`` of the shop."""
    table = shop.setdefault(part, {})
    kind = preview.Shop.part(part)
    either = kind.either.fields if kind.either else ()
    names = [name for name in kind.asked() if name not in either]
    path = ("shop", st.session_state.get("shop_opened", 0), part)
    for first in range(0, len(names), BESIDE):
        ask_fields(table, kind, path, tuple(names[first : first + BESIDE]))
    if kind.either:
        ask_either(table, kind, kind.either, path)
    if part == "grinder":
        _ask_wheels(table)


def _ask_wheels(table: Table) -> None:
    """Ask for lists, typed with commas between."""
    wheels, belts = st.columns(2)
    told_now = ", ".join(f"{units().shown(each, 'mm'):g}" for each in table.get("wheels", ()))
    typed = wheels.text_input(labelled("Contact wheels", "mm"), key=_key(told_now, "wheels"))
    if typed != told_now:  # untouched, no digit of them changes on the way there and back
        try:
            table["wheels"] = [round(units().kept(float(each), "mm"), 6) for each in typed.split(",") if each.strip()]
        except ValueError:
            wheels.error("Numbers with commas between are needed.")
    typed = belts.text_input("Belts, coarse first", key=_key(", ".join(table.get("belts", ())), "belts"))
    table["belts"] = [each.strip() for each in typed.split(",") if each.strip()]


def _ask_prices(table: Table, job: preview.Job) -> None:
    st.markdown("**Your prices**; what you leave empty is told as not given")
    table["money"] = st.text_input("Money", max_chars=12, key=_key(table.get("money", ""), "money"))
    _ask_what_is_known(table, "prices")
    kilos = {each["name"]: each["kilo"] for each in table.get("powders", ())}
    for column, powder in zip(st.columns(max(len(job.powders), BESIDE)), job.powders, strict=False):
        paid = _known(column, f"A kilogram of {powder.name}", kilos.get(powder.name), ("kilo", powder.name))
        kilos.pop(powder.name, None)
        kilos |= {} if paid is None else {powder.name: paid}
    table["powders"] = [{"name": name, "kilo": kilo} for name, kilo in kilos.items()]


def _ask_what_is_known(table: Table, part: str) -> None:
    """Ask for numbers of which each may be left empty."""
    kind = preview.Shop.part(part)
    names = kind.asked()
    for column, name in zip(st.columns(len(names), vertical_alignment="bottom"), names, strict=True):
        control = kind.control(name) or preview.Control(name)
        known = _known(column, labelled(control.label, control.unit), table.get(name), (part, name), control.help)
        table.pop(name, None)
        table |= {} if known is None else {name: known}


def _known(column: Any, label: str, value: float | None, path: tuple[str, str], help: str = "") -> float | None:
    """Ask for a number that may be left empty."""
    widget_key = _key(None if value is None else float(value), *path)
    typed = column.number_input(label, 0.0, value=None, key=widget_key, format="%g", help=help or None)
    return None if typed is None else float(typed)
