"""A box or a slider for one number: what it shows is in the user's units, what it keeps is in mm and °C."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import floor, log10
from typing import Any

import streamlit as st

import preview
from preview.page.boxes import is_echo, set_box
from preview.page.remarks import Path
from preview.page.sliding import Followed, slide
from preview.page.turns import hear_change

Table = dict[str, Any]
Heard = Callable[[Any], None]


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


NO_BREAK = "\u00a0"
"""A space at which a line is not broken."""


def labelled(label: str, unit: str) -> str:
    """Return a label with the name of its unit, as this visitor has chosen it."""
    return f"{label}, {units().name(unit).replace(' ', NO_BREAK)}" if unit else label


def ask(where: Any, label: str, value: float | None, widget_key: str, *, unit: str = "", **look: Any) -> Any:
    """Ask in ``where`` for a number that starts from ``value``; mm and °C are shown, and read, in the units chosen."""
    start = None if value is None else _shown(value, unit)
    look = {**_look(unit, look.pop("step", 0.5), look.pop("min_value", None), look.pop("max_value", None)), **look}
    typed = where.number_input(labelled(label, unit), value=start, key=widget_key, **look)
    if typed is None or typed == start:
        return value  # untouched: no digit of it changes on the way there and back
    return round(units().kept(typed, unit), FINE)


def ask_number(
    where: Any, label: str, value: float, path: Path, heard: Heard, *, unit: str = "", least: float | None = None,
    most: float | None = None, step: float | None = None, **look: Any,
) -> None:  # fmt: skip
    """Show a number in a box; what is typed is ``heard``, in mm or °C, before the page runs."""
    shown, widget_key = _shown(value, unit), key(*path)
    look = {**_look(unit, step or 0.5, least, most, shown), **look}
    set_box(widget_key, shown, (look["min_value"], look["max_value"], look["step"]))
    where.number_input(
        labelled(label, unit), key=widget_key, on_change=_hear, args=(path, unit, heard), **look
    )  # fmt: skip


def ask_slider(
    label: str, value: float, low: float, high: float, path: Path, heard: Heard, *, unit: str = "",
    step: float | None = None, help: str | None = None, least: float | None = None, most: float | None = None,
    wide: bool = False, followed: Followed | None = None,
) -> None:  # fmt: skip
    """Show a number as a slider from ``low`` to ``high`` and in a box; what either tells is ``heard``, in mm or °C.

    The box takes from ``least`` to ``most``, which may be more than the slider offers. It stands over the slider, or
    where there is room, which ``wide`` says, beside it. While it moves, what is ``followed`` there follows, or the
    blade.
    """
    shown, step = _shown(value, unit), step or _round(max(high - low, 0.01) / 100)
    look = _look(unit, step, low, high, shown)

    def slid(told: float) -> None:
        heard(round(units().kept(told, unit), FINE))

    def slider() -> None:
        slide(
            labelled(label, unit), shown, key(*path, "slider"), key(*path), slid, low=look["min_value"],
            high=look["max_value"], step=look["step"], unit=units().name(unit),
            decimals=3 if units().name(unit) == "in" else None, named=wide, followed=followed,
        )  # fmt: skip

    box: Table = {"unit": unit, "step": step, "least": least, "most": most}
    if not wide:
        ask_number(st, label, value, path, heard, help=help, **box)
        slider()
        return
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small", wrap=False):
        slider()
        ask_number(st, label, value, path, heard, label_visibility="collapsed", width=96, **box)


FINE = 6
"""Decimals that a number is kept with: none that its units make up."""


def _shown(value: float, unit: str) -> float:
    return round(units().shown(float(value), unit), FINE)


def _look(unit: str, step: float, least: float | None, most: float | None, shown: float | None = None) -> Table:
    """Return how a number is shown in the units chosen: its format, its step there, and bounds that ``shown`` keeps."""
    low, high = (None if bound is None else _shown(bound, unit) for bound in (least, most))
    if shown is not None:  # a job may say more than is usually offered
        low, high = (None if low is None else min(low, shown)), (None if high is None else max(high, shown))
    return {
        "step": _step(step, unit), "min_value": low, "max_value": high,
        "format": "%.3f" if units().name(unit) == "in" else "%g",
    }  # fmt: skip


def _step(step: float, unit: str) -> float:
    """Return a step in the units chosen, there too a round number."""
    chosen = units()
    moved = chosen.shown(step, unit) - chosen.shown(0, unit)  # a step has no zero point to move
    return float(step) if moved == step else max(0.001, _round(moved))


def _round(step: float) -> float:
    """Return about as much as a round number: 1, 2 or 5 of a decimal place."""
    place = 10.0 ** floor(log10(step))
    return round(next(each * place for each in (1, 2, 5, 10) if each * place > 0.99 * step), FINE)


def _hear(path: Path, unit: str, heard: Heard) -> None:
    """Hear a changed number before the page runs, so that the picture can go ahead of the controls.

    Its key is that of now: a control of the units before the last may tell its number late, and must not be heard.
    """
    typed = st.session_state.get(key(*path))
    if typed is not None and not is_echo(key(*path), typed):
        hear_change()
        heard(round(units().kept(float(typed), unit), FINE))
