"""Which control a field takes: its class says how it is asked for (`preview.Control`), its type gives the kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import groupby
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import streamlit as st

import preview
from preview.page.asking import Heard, Table, ask_number, ask_slider, key, labelled
from preview.page.remarks import Path, remark
from preview.page.turns import hear_change


def keeper(table: Table, name: str) -> Heard:
    """Return what keeps a value under ``name`` of a table."""

    def keep(value: Any) -> None:
        table[name] = value

    return keep


def number(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for the number ``name`` of a table."""
    value, to = float(table.setdefault(name, control.start)), (*path, name)
    look: Table = {
        "unit": control.unit, "step": control.step, "help": control.help or None,
        "least": control.least, "most": control.most,
    }  # fmt: skip
    if control.slider and control.least is not None and control.most is not None:
        ask_slider(control.label, value, control.least, control.most, to, keeper(table, name), **look)
    else:
        ask_number(st, control.label, value, to, keeper(table, name), **look)


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


def choice(
    table: Table, name: str, control: preview.Control, path: Path, options: Sequence[str],
    format_func: Callable[[str], str] = str,
) -> str:  # fmt: skip
    """Ask for one of ``options``, and return it; it is heard before the page runs."""
    widget_key = key(*path, name)
    st.session_state[widget_key] = table[name]
    st.selectbox(
        control.label, options, key=widget_key, help=control.help or None, format_func=format_func,
        on_change=hear_choice, args=((*path, name), keeper(table, name)),
    )  # fmt: skip
    return str(table[name])


def hear_choice(path: Path, heard: Heard) -> None:
    """Hear what was chosen, before the page runs."""
    chosen = st.session_state.get(key(*path))
    if chosen is not None:
        hear_change()
        heard(chosen)


def pair(table: Table, name: str, control: preview.Control, path: Path) -> None:
    """Ask for one amount each of two opposite sides; one number that stands for both stays one while they are alike."""
    value = table[name]
    both = tuple(value) if isinstance(value, (tuple, list)) else (value, value)

    def keep(place: int, amount: float) -> None:
        table[name] = tuple(amount if at == place else each for at, each in enumerate(both))

    columns = st.columns(2, vertical_alignment="bottom")
    for place, (column, end) in enumerate(zip(columns, control.ends, strict=True)):
        ask_number(
            column, f"{control.label}, {end}", both[place], (*path, name, place), partial(keep, place),
            unit=control.unit, least=control.least, step=control.step, help=control.help or None,
        )  # fmt: skip


def ask_field(table: Table, model: type[preview.Settings], name: str, path: Path) -> None:
    """Ask for the field ``name`` of ``model``, whose values are in ``table``, by the control that its type takes."""
    control = control_of(model, name)
    if control.offer:
        given = key(*path, name, "given")
        if not st.checkbox(control.offer, value=name in table, key=given, help=control.help or None):
            table.pop(name, None)
            remark((*path, name))
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
    remark((*path, name))


def ask_group(table: Table, model: type[preview.Settings], control: preview.Control, path: Path) -> None:
    """Ask for settings within settings; plain numbers that follow each other stand side by side."""
    if control.help:
        st.caption(control.help)
    for number_only, group in groupby(model.asked(), key=partial(_is_plain_number, model)):
        names = tuple(group)
        ask_fields(table, model, path, *((names,) if number_only else names))


def ask_kind(table: Table, several: preview.Kinds, control: preview.Control, path: Path) -> None:
    """Ask which of several kinds settings are of, and for what that kind needs."""
    there = [name for name, kind in several.classes.items() if name == table[several.key] or not _lacks(kind, table)]
    kind = several.classes[choice(table, several.key, control, path, there)]
    ask_fields(table, kind, path, *(name for name in kind.asked() if name != several.key))


def ask_fields(table: Table, model: type[preview.Settings], path: Path, *names: str | tuple[str, ...]) -> None:
    """Ask for fields of ``model``, all of them where none is named; those named together stand side by side.

    Fields that exclude each other are asked for where the usual one of them stands.
    """
    ways = model.either.fields if model.either else ()
    for name in names or model.asked():
        if isinstance(name, tuple):
            columns = st.columns(len(name), vertical_alignment="bottom")  # where one label takes two lines
            for column, each in zip(columns, name, strict=True):
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


def _lacks(kind: type[preview.Settings], table: Table) -> bool:
    """Return whether a kind needs what no control asks for, such as a file."""
    return any(field.is_required() and name not in table for name, field in kind.model_fields.items())


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
