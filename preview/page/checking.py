"""What the controls say, looked over before they are made: what has to move, what is wrong, and where that is told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, units
from preview.page.remarks import Remark
from preview.page.telling import TITLES, group_of, in_words, labels_of, told

BELOW = 4
"""The group of controls that stands right below the blade, where what moved is told: it is not told again in it."""


@dataclass(frozen=True, eq=False)
class Judged:
    """What the controls say: the nearest possible job, where there is one, and what is wrong all the same."""

    near: preview.Nearest | None
    job: preview.Job | None
    error: preview.PreviewError | None

    @property
    def trouble(self) -> str:
        """What is wrong, in words; empty where nothing is."""
        return told(self.error) if self.error else ""


def judge(table: Table) -> Judged:
    """Return what the controls say."""
    try:
        near = preview.nearest_job(table)
    except preview.PreviewError as error:
        return Judged(None, None, error)
    try:
        return Judged(near, preview.make_job(near.written(table)), None)
    except preview.PreviewError as error:
        return Judged(near, None, error)


def look_over(table: Table) -> Judged:
    """Move the numbers of ``table`` that have to move, and note what is to be said beside which control.

    What has moved comes back by itself once it is possible again, unless it has been changed since.
    """
    st.session_state.moves = []
    wishes: dict[str, tuple[Any, Any]] = st.session_state.get("wishes", {})
    for where, (wish, moved_to) in wishes.items():
        if value_at(table, where) == moved_to:
            put_at(table, where, wish)
    asked, found = deepcopy(table), judge(table)
    remarks: dict[str, list[Remark]] = {}
    opened = set()
    if found.near:
        table.update(found.near.written(table))
        parts = [getattr(found.near.job, part) for part in ("can", "forging", "blade", "grind")]
        now = {where: (value_at(asked, where), value_at(table, where)) for where in found.near.moved}
        fresh = {where: found.near.moved[where] for where, each in now.items() if each != wishes.get(where)}
        if fresh:
            step = changed_step(found.near.job.forging, st.session_state.good.forging)
            st.session_state.moved = (parts, found.near, fresh, step)
            opened |= {group_of(where) for where in fresh}
        st.session_state.wishes = now
        asked["forging"] = table["forging"]  # what is said below the blade is of the bar that there is
        of, near, moved, step = st.session_state.get("moved", (None, found.near, {}, None))
        if of == parts:  # until the next change
            for where in moved:
                text = near.told(where, labels_of(where, table["forging"])[-1]).told(units())
                st.session_state.moves.append(text)
                if group_of(where) != BELOW:
                    remarks.setdefault(where, []).append(Remark(text, text, wrong=False))
            if step is not None and (text := too_small(near)):
                remarks.setdefault(f"forging[{step}]", []).append(Remark(text, text, wrong=False))
                opened.add(group_of("forging"))
    for fault in getattr(found.error, "faults", ()):
        if group_of(fault.where) is not None:
            text = replace(fault, where="").told(units())
            text = text[:1].upper() + text[1:]
            place = in_words(fault.where, table["forging"])
            remarks.setdefault(fault.where, []).append(Remark(text, f"{place}: {text}", wrong=True))
            opened.add(group_of(fault.where))
    for group in opened:
        st.session_state[f"group {group}"] = True  # so that what is said in it is found
    st.session_state.asked = asked if found.near and found.near.moved else table
    st.session_state.standing = found.job or st.session_state.good
    st.session_state.update(remarks=remarks, limits=found.near.limits if found.near else {})
    return found


def value_at(table: Table, where: str) -> Any:
    """Return what stands at a key path of the table; None where nothing does."""
    found: Any = table
    for name in steps_of(where):
        try:
            found = found[name]
        except (KeyError, IndexError, TypeError):
            return None
    return found


def put_at(table: Table, where: str, value: Any) -> None:
    """Put a value at a key path of the table that there is."""
    *path, name = steps_of(where)
    holder: Any = table
    for each in path:
        holder = holder[each]
    if isinstance(holder, tuple):  # one of a pair
        pair = [value if place == name else each for place, each in enumerate(holder)]
        put_at(table, where.rpartition("[")[0], tuple(pair))
    else:
        holder[name] = value


def steps_of(where: str) -> list[str | int]:
    """Return the keys, and numbers in lists, of a key path.

    Examples
    --------
    >>> steps_of("forging[1].height")
    ['forging', 1, 'height']
    """
    return [int(number) if number else name for name, number in re.findall(r"([a-z_]+)|\[(\d+)\]", where)]


def changed_step(steps: Sequence[preview.Step], before: Sequence[preview.Step]) -> int | None:
    """Return the first step that is another than before, or where one was taken out the one that follows."""
    if steps == before or not steps:
        return None
    others = (place for place, (one, other) in enumerate(zip(steps, before, strict=False)) if one != other)
    return next(others, min(len(before), len(steps) - 1))


def too_small(near: preview.Nearest) -> str:
    """Return in words that the bar is too small for the blade, and what moved for it; empty where nothing did."""
    moved = [
        f"{labels_of(where)[-1]} to {units().length(limit.nearest, form='g')}"
        for where, limit in near.moved.items()
        if limit.cause == "this bar"
    ]
    size = units().length(*near.job.history.bar.size, form=".1f") if moved else ""
    return f"The bar comes out {size}, too small for the blade. Moved: {', '.join(moved)}." if moved else ""


def headline(error: preview.PreviewError) -> str:
    """Return in one line where something is wrong; in full what no control is the cause of."""
    faults = getattr(error, "faults", ())
    groups = sorted({group for fault in faults if (group := group_of(fault.where)) is not None})
    others = [fault for fault in faults if group_of(fault.where) is None]
    last = "the picture is the last one that could be made."
    if not groups:
        return f"{told(error)}\n\n{last.capitalize()}"
    line = f"Something in {' and in '.join(TITLES[group] for group in groups)} does not work; {last}"
    return "\n\n".join([line, *([told(preview.RequestError(others))] if others else [])])
