"""One control for one key of the job: what it shows is in the user's units, what it keeps is in mm and °C."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import streamlit as st

import preview
from preview.page.advice import advice

Table = dict[str, Any]


def units() -> preview.Units:
    """Return the units that this visitor reads and types."""
    return _units(bool(st.session_state.get("inches")), bool(st.session_state.get("fahrenheit")))


@lru_cache
def _units(inches: bool, fahrenheit: bool) -> preview.Units:
    return preview.Units(sizes="inch" if inches else "mm", heats="°F" if fahrenheit else "°C")


def key(*path: Any) -> str:
    """Return a widget key that changes with each opened job and with the units, so that widgets start anew."""
    chosen = units()
    return ".".join(map(str, (st.session_state.opened, chosen.sizes, chosen.heats, *path)))


def unit_of(label: str) -> str:
    """Return ``mm`` or ``°C`` where a label ends in it, else nothing."""
    return next((unit for unit in ("mm", "°C") if label.endswith(f", {unit}")), "")


def ask(where: Any, label: str, value: float | None, widget_key: str, **look: Any) -> Any:
    """Ask for a number in ``where``; a label that ends in mm or °C is shown, and read, in the units chosen."""
    return _asked(where.number_input, label, value, widget_key, {"step": 0.5, **look})


def ask_slider(label: str, value: float, low: float, high: float, widget_key: str, **look: Any) -> float:
    """Ask for a number by a slider, in the units chosen."""
    look = {"min_value": low, "max_value": high, **look}
    return float(_asked(st.slider, label, value, widget_key, look))


def _asked(widget: Any, label: str, value: float | None, widget_key: str, look: Any) -> Any:
    chosen, unit = units(), unit_of(label)
    named = chosen.name(unit)
    if named != unit:
        label = label.removesuffix(unit) + named
        for name in ("step", "min_value", "max_value"):
            if look.get(name) is not None:
                base = 0 if name != "step" else chosen.shown(0, unit)  # a step has no zero point to move
                look[name] = chosen.shown(float(look[name]), unit) - base
    start = None if value is None else chosen.shown(float(value), unit)
    fine = named == "in"
    look = {"format": "%.3f" if fine else "%g", **look}
    typed = widget(label, value=start, key=widget_key, **look)
    if typed is None or typed == start:
        return value  # untouched: no digit of it changes on the way there and back
    return chosen.kept(typed, unit)


def _note(table: Table, name: str, widget_key: str, unit: str) -> None:
    """Note a changed number before the page runs, so that the picture can go ahead of the controls."""
    typed = st.session_state[widget_key]
    if typed is not None:
        table[name] = units().kept(float(typed), unit)


def _noted(table: Table, name: str, label: str, path: tuple[Any, ...]) -> dict[str, Any]:
    return {
        "help": advice(path, name),
        "on_change": _note,
        "args": (table, name, key(*path, name), unit_of(label)),
    }


def number(table: Table, name: str, label: str, path: tuple[Any, ...], default: float, **look: Any) -> None:
    look = {**_noted(table, name, label, path), **look}
    table[name] = ask(st, label, table.get(name, default), key(*path, name), **look)


def whole(table: Table, name: str, label: str, path: tuple[Any, ...], default: int, **look: Any) -> None:
    look = {"step": 1, "help": advice(path, name), **look}
    table[name] = int(st.number_input(label, value=int(table.get(name, default)), key=key(*path, name), **look))


def slider(
    table: Table, name: str, label: str, path: tuple[Any, ...], default: float, low: float, high: float, **look: Any
) -> None:
    start = float(table.get(name, default))
    look = {**_noted(table, name, label, path), **look}
    # a job may say more than the slider usually offers
    table[name] = ask_slider(label, start, min(low, start), max(high, start), key(*path, name), **look)


def choice(table: Table, name: str, label: str, path: tuple[Any, ...], options: list[str], **look: Any) -> str:
    start = options.index(table.get(name, options[0]))
    look = {"help": advice(path, name), **look}
    table[name] = st.selectbox(label, options, index=start, key=key(*path, name), **look)
    return str(table[name])


def optional(
    table: Table, name: str, label: str, path: tuple[Any, ...], default: float, ask_for: str, **look: Any
) -> None:
    """Offer a value that may be left to its usual one."""
    if st.checkbox(ask_for, value=name in table, key=key(*path, name, "given")):
        number(table, name, label, path, default, **look)
    else:
        table.pop(name, None)


def pair(step: Table, name: str, label: str, path: tuple[Any, ...], words: tuple[str, str]) -> None:
    """Ask for one amount each of two opposite sides."""
    value = step.get(name, 0.0)
    both = value if isinstance(value, (tuple, list)) else (value, value)
    columns, told = st.columns(2), advice(path, name)
    step[name] = tuple(
        ask(columns[n], f"{label}, {words[n]}, mm", both[n], key(*path, name, n), min_value=0.0, step=0.1, help=told)
        for n in (0, 1)
    )
