"""The forging at the side: its steps, oldest first, what each does to the bar, and what each is asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import starmap
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, key, units
from preview.page.field_controls import ask_fields
from preview.page.remarks import has_remark, remark
from preview.page.session import open_table
from preview.page.showing import data_url, plain
from preview.page.telling import in_words, told

Order = Sequence[int | type[preview.Step]]
"""Steps in another order, as `preview.arranged` takes it."""

STEPS = {step.model_fields["step"].default: step for step in preview.STEPS}


@dataclass(frozen=True)
class Boxes:
    """Which steps' boxes are open: known here, not in the browser, so that a step keeps its own wherever it goes.

    Parameters
    ----------
    of
        Whose steps they are: the job, or the demo.
    opening
        The opening of the page's table that they belong to.
    steps
        The steps as they were.
    open
        Whether the box of each is open.
    """

    of: tuple[str | None, str | None]
    opening: int
    steps: list[Table]
    open: list[bool]


def forging_controls(job: Table) -> Callable[[preview.Job], None]:
    """Ask for the steps; return what shows, once the picture is out, what they do to the bar."""
    st.caption("Oldest first, as you work. Cold sizes.")
    steps, is_open = job["forging"], open_boxes(job["forging"])
    with st.container(key="forging"):
        strip = st.container()
        for index, step in enumerate(steps):
            kind, path = STEPS[step["step"]], ("forging", index)
            name = key(*path, "box")
            if name not in st.session_state:
                st.session_state[name] = is_open[index]
            if has_remark(path):
                st.session_state[name] = True
            box = st.expander(f"{index + 1} · {kind.title}", key=name, on_change="rerun")
            is_open[index] = bool(box.open)
            if box.open:
                with box:
                    # the heat last; one that is there already can be taken away, also of a step that asks for none
                    heat = {"heat"} & {*kind.asked(), *step}
                    ask_fields(step, kind, path, *(each for each in kind.asked() if each not in heat), *heat)
                    remark(path)
                    arranging(job, index)
    note(steps, is_open)
    st.html(f"<style>{''.join(starmap(after_title, enumerate(steps)))}</style>")
    adding(job)
    return lambda shown: show_strip(strip, shown)


def after_title(index: int, step: Table) -> str:
    """Return the style that puts to what size a step goes after its title, where its numbers make sense.

    A box with another title would be another box to Streamlit, and lose what is open and in hand in it.
    """
    kind = STEPS[step["step"]]
    with suppress(preview.PreviewError):
        words = preview.make_settings(kind, step, "forging").words(units())
        rest = words.removeprefix(kind.title) if words.startswith(kind.title) else f": {words[0].lower()}{words[1:]}"
        box = re.sub("[^a-zA-Z0-9_-]", "-", key("forging", index, "box"))
        return f'.st-key-{box} summary p::after {{ content: "{rest}" }}\n'
    return ""


def arranging(job: Table, index: int) -> None:
    """Offer to move the step ``index``, to copy it, and to take it out, where that can be forged."""
    as_is = list(range(len(job["forging"])))
    before, after = as_is[:index], as_is[index + 1 :]
    offers = {
        "Up": [*before[:-1], index, *before[-1:], *after],
        "Down": [*before, *after[:1], index, *after[1:]],
        "Copy": [*before, index, index, *after],
        "Take out": [*before, *after],
    }
    with st.container(horizontal=True, gap="small"):
        for word, order in offers.items():
            reason = "" if order == as_is or why_not(job, as_is) else why_not(job, order)  # a way out is always open
            st.button(
                word, key=key("forging", index, word), on_click=arrange, args=(order,), help=reason or None,
                disabled=order == as_is or bool(reason), width="content",
            )  # fmt: skip


def adding(job: Table) -> None:
    """Offer another step, at the places where it can be forged; where there is none, say why."""
    count, welded = len(job["forging"]), any(STEPS[step["step"]].welds for step in job["forging"])
    name = st.selectbox(
        "Another step", sorted(STEPS, key=lambda name: welded and STEPS[name].welds), key=key("forging", "kind"),
        format_func=lambda name: STEPS[name].title,
    )  # fmt: skip
    orders: dict[int, Order] = {place: [*range(place), STEPS[name], *range(place, count)] for place in range(count + 1)}
    reasons = {place: why_not(job, order) for place, order in orders.items()}
    places = [place for place, reason in reasons.items() if not reason]
    if not places:
        st.caption(f"There is no place for it as the bar is. {reasons[count]}.")
        return
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    place = left.selectbox(
        "It comes", places, len(places) - 1, key=key("forging", "place", name),
        format_func=lambda place: "last" if place == count else f"before step {place + 1}",
    )  # fmt: skip
    right.button("Add", key=key("forging", "add"), on_click=arrange, args=(orders[place],))


def why_not(job: Table, order: Order) -> str:
    """Return why the steps cannot be forged in another order, in words; empty where they can."""
    steps: list[Table] = []
    try:
        steps = preview.arranged(job, order)
        fault = preview.forging_fault({**job, "forging": steps})
    except preview.JobError as error:
        fault = error.faults[0]
    return "" if fault is None else plain(replace(fault, where=in_words(fault.where, steps)).told(units()))


def open_boxes(steps: list[Table]) -> list[bool]:
    """Return whether the box of each step is open; after an undo or redo, that of the step it was."""
    boxes: Boxes | None = st.session_state.get("boxes")
    if boxes is not None and boxes.opening == st.session_state.opened:
        return boxes.open
    if boxes is None or boxes.of != whose():
        return [False] * len(steps)
    places = preview.came_from(boxes.steps, steps, lambda step: step["step"])
    return [place is not None and boxes.open[place] for place in places]


def note(steps: list[Table], is_open: list[bool]) -> None:
    """Note which boxes are open."""
    st.session_state.boxes = Boxes(whose(), st.session_state.opened, deepcopy(steps), is_open)


def whose() -> tuple[str | None, str | None]:
    return st.session_state.job, st.session_state.demo


def arrange(order: Order) -> None:
    """Let the steps be in another order, with new ones, which open."""
    table, is_open = st.session_state.table, st.session_state.boxes.open
    try:
        steps = preview.arranged(table, order)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)
        return
    open_table({**table, "forging": steps})
    note(steps, [is_open[each] if isinstance(each, int) else True for each in order])


def show_strip(place: Any, job: preview.Job) -> None:
    """Show the bar's section after each step, small."""
    steps = ", ".join(f"{number} {step.title}" for number, step in enumerate(job.forging, start=1))
    place.image(
        data_url(preview.png_bytes(preview.steps_at_a_glance(job), 6.0), "png"), width="stretch",
        alt=f"Cross-section in the can, and after each step: {steps}.",
    )  # fmt: skip
