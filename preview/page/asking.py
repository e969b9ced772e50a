"""One control for one field: what it shows is in the user's units, what it keeps is in mm and °C.

A field's class says how it is asked for (`preview.Control`); which kind of control it takes follows from its type.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache, partial
from itertools import groupby
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import streamlit as st

import preview

Table = dict[str, Any]
Path = tuple[Any, ...]


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


def labelled(label: str, unit: str) -> str:
    """Return a label with the name of its unit, as this visitor has chosen it."""
    return f"{label}, {units().name(unit)}" if unit else label


def ask(where: Any, label: str, value: float | None, widget_key: str, *, unit: str = "", **look: Any) -> Any:
    """Ask for a number in ``where``; one in mm or °C is shown, and read, in the units chosen."""
    return _asked(where.number_input, label, value, widget_key, unit, {"step": 0.5, **look})


def ask_slider(
    label: str, value: float, low: float, high: float, widget_key: str, *, unit: str = "", **look: Any
) -> float:
    """Ask for a number by a slider, in the units chosen."""
    return float(_asked(st.slider, label, value, widget_key, unit, {"min_value": low, "max_value": high, **look}))


def _asked(widget: Callable[..., Any], label: str, value: float | None, widget_key: str, unit: str, look: Table) -> Any:
    chosen = units()
    for name in ("step", "min_value", "max_value"):
        if look.get(name) is not None:
            base = 0 if name != "step" else chosen.shown(0, unit)  # a step has no zero point to move
            look[name] = chosen.shown(float(look[name]), unit) - base
    start = None if value is None else chosen.shown(float(value), unit)
    fine = chosen.name(unit) == "in"
    look = {"format": "%.3f" if fine else "%g", **look}
    typed = widget(labelled(label, unit), value=start, key=widget_key, **look)
    if typed is None or typed == start:
        return value  # untouched: no digit of it changes on the way there and back
    return chosen.kept(typed, unit)


def _note(table: Table, name: str, path: Path, unit: str) -> None:
    """Note a changed number before the page runs, so that the picture can go ahead of the controls.

    Its key is that of now: a control of the units before the last may tell its number late, and must not be heard.
    """
    typed = st.session_state.get(key(*path, name))
    if typed is not None:
        table[name] = units().kept(float(typed), unit)


def number(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for the number ``name`` of a table."""
    value, widget_key = float(table.setdefault(name, control.start)), key(*path, name)
    look: Table = {"help": control.help or None, "on_change": _note, "args": (table, name, path, control.unit)}
    if control.step is not None:
        look["step"] = control.step
    # a job may say more than is usually offered
    low = None if control.least is None else min(control.least, value)
    high = None if control.most is None else max(control.most, value)
    if control.slider and low is not None and high is not None:
        table[name] = ask_slider(control.label, value, low, high, widget_key, unit=control.unit, **look)
    else:
        look |= {"min_value": low, "max_value": high}
        table[name] = ask(st, control.label, value, widget_key, unit=control.unit, **look)


def whole(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for a whole number."""
    least, most = (None if bound is None else int(bound) for bound in (control.least, control.most))
    typed = st.number_input(
        control.label, value=int(table[name]), min_value=least, max_value=most, step=1, key=key(*path, name),
        help=control.help or None,
    )  # fmt: skip
    table[name] = int(typed)


def switch(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for yes or no."""
    table[name] = st.checkbox(control.label, value=table[name], key=key(*path, name), help=control.help or None)


def choice(table: Table, name: str, control: preview.Control, path: Path, options: Sequence[str]) -> str:
    """Ask for one of ``options``, and return it."""
    start = options.index(table[name])
    table[name] = st.selectbox(
        control.label, options, index=start, key=key(*path, name), help=control.help or None
    )  # fmt: skip
    return str(table[name])


def pair(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for one amount each of two opposite sides; one number that stands for both stays one while they are alike."""
    value = table[name]
    both = value if isinstance(value, (tuple, list)) else (value, value)
    asked = tuple(
        ask(
            column, f"{control.label}, {end}", each, key(*path, name, place), unit=control.unit,
            min_value=control.least, step=control.step, help=control.help or None,
        )
        for place, (column, end, each) in enumerate(zip(st.columns(2), control.ends, both, strict=True))
    )  # fmt: skip
    if asked != tuple(both):
        table[name] = asked


def ask_field(table: Table, model: type[preview.Settings], name: str, path: Path) -> None:
    """Ask for the field ``name`` of ``model``, whose values are in ``table``, by the control that its type takes."""
    control = control_of(model, name)
    if control.offer:
        given = key(*path, name, "given")
        if not st.checkbox(control.offer, value=name in table, key=given, help=control.help or None):
            table.pop(name, None)
            return
    if name not in table:
        start = control.start if control.start is not None else model.model_fields[name].default
        table[name] = start.model_dump(mode="json") if isinstance(start, preview.Settings) else start
    kinds, several = kinds_of(model, name), preview.Kinds.of(model, name)
    if several is not None:
        ask_kind(table[name], several, control, (*path, name))
    elif get_origin(kinds[0]) is Literal:
        choice(table, name, control, path, get_args(kinds[0]))
    elif any(get_origin(kind) is tuple for kind in kinds):
        pair(table, name, control, path)
    elif issubclass(kinds[0], preview.Settings):
        ask_group(table[name], kinds[0], control, (*path, name))
    else:
        {bool: switch, int: whole, float: number}[kinds[0]](table, name, control, path)


def ask_group(table: Table, model: type[preview.Settings], control: preview.Control, path: Path) -> None:
    """Ask for settings within settings; plain numbers that follow each other stand side by side."""
    if control.help:
        st.caption(control.help)
    for plain, group in groupby(model.asked(), key=partial(_is_plain_number, model)):
        names = tuple(group)
        ask_fields(table, model, path, *((names,) if plain else names))


def ask_kind(table: Table, several: preview.Kinds, control: preview.Control, path: Path) -> None:
    """Ask which of several kinds settings are of, and for what that kind needs."""
    kind = several.classes[choice(table, several.key, control, path, list(several.classes))]
    ask_fields(table, kind, path, *(name for name in kind.asked() if name != several.key))


def ask_fields(table: Table, model: type[preview.Settings], path: Path, *names: str | tuple[str, ...]) -> None:
    """Ask for fields of ``model``, all of them where none is named; those named together stand side by side.

    Fields that exclude each other are asked for where the usual one of them stands.
    """
    ways = model.either.fields if model.either else ()
    for name in names or model.asked():
        if isinstance(name, tuple):
            for column, each in zip(st.columns(len(name)), name, strict=True):
                with column:
                    ask_field(table, model, each, path)
        elif name not in ways:
            ask_field(table, model, name, path)
        elif model.either and name == ways[0]:
            ask_either(table, model, model.either, path)


def ask_either(table: Table, model: type[preview.Settings], either: preview.Either, path: Path) -> None:
    """Ask by which of the fields that exclude each other a thing is said, and for that one."""

    def told(name: str) -> str:
        control = control_of(model, name)
        return labelled(control.label[0].lower() + control.label[1:], control.unit)

    ways = either.fields
    given = next((place for place, name in enumerate(ways) if name in table), 0)
    chosen = st.selectbox(either.label, ways, index=given, format_func=told, key=key(*path, "either"))
    for other in set(ways) - {chosen}:
        table.pop(other, None)
    ask_field(table, model, chosen, path)


def control_of(model: type[preview.Settings], name: str) -> preview.Control:
    """Return how the field ``name`` of ``model`` is asked for; it has to say so."""
    control = model.control(name)
    if control is None:
        raise KeyError(name)
    return control


def kinds_of(model: type[preview.Settings], name: str) -> list[Any]:
    """Return the types that a value of the field may have, their own conditions and None left out."""
    annotation = model.model_fields[name].annotation
    several = get_args(annotation) if get_origin(annotation) in {Union, UnionType} else (annotation,)
    bare = [get_args(each)[0] if get_origin(each) is Annotated else each for each in several]
    return [each for each in bare if each is not NoneType]


def _is_plain_number(model: type[preview.Settings], name: str) -> bool:
    control = control_of(model, name)
    return kinds_of(model, name) == [float] and not control.offer and not control.slider
