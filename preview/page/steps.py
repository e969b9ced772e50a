"""The forging at the side: its steps, oldest first, what each does to the bar, and what each is asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, ask_fields, key
from preview.page.remarks import has_remark, remark
from preview.page.session import open_table
from preview.page.showing import data_url

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
                    arranging(index, len(steps))
    note(steps, is_open)
    adding(len(steps))
    return lambda shown: show_strip(strip, shown)


def arranging(index: int, count: int) -> None:
    """Offer to move the step ``index`` of ``count``, to copy it, and to take it out."""
    as_is = list(range(count))
    before, after = as_is[:index], as_is[index + 1 :]
    offers = {
        "Up": [*before[:-1], index, *before[-1:], *after],
        "Down": [*before, *after[:1], index, *after[1:]],
        "Copy": [*before, index, index, *after],
        "Take out": [*before, *after],
    }
    with st.container(horizontal=True, gap="small"):
        for word, order in offers.items():
            st.button(
                word, key=key("forging", index, word), on_click=arrange, args=(order,), disabled=order == as_is,
                width="content",
            )  # fmt: skip


def adding(count: int) -> None:
    """Offer another step, anywhere among the ``count`` there are."""
    name = st.selectbox(
        "Another step", list(STEPS), format_func=lambda name: STEPS[name].title, key=key("forging", "kind")
    )
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    place = left.selectbox(
        "It comes", range(count, -1, -1), key=key("forging", "place"),
        format_func=lambda place: "last" if place == count else f"before step {place + 1}",
    )  # fmt: skip
    fresh = STEPS[name].example().model_dump(mode="json", exclude_none=True)
    order = [*range(place), fresh, *range(place, count)]
    right.button("Add", key=key("forging", "add"), on_click=arrange, args=(order,))


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


def arrange(order: Sequence[int | Table]) -> None:
    """Let the steps be those that stood at the places in ``order``, and new ones, which open."""
    table, is_open = st.session_state.table, st.session_state.boxes.open
    steps = [deepcopy(table["forging"][each]) if isinstance(each, int) else each for each in order]
    open_table({**table, "forging": steps})
    note(steps, [is_open[each] if isinstance(each, int) else True for each in order])


def show_strip(place: Any, job: preview.Job) -> None:
    """Show the bar's section after each step, small."""
    steps = ", ".join(f"{number} {step.title}" for number, step in enumerate(job.forging, start=1))
    place.image(
        data_url(preview.png_bytes(preview.steps_at_a_glance(job), 6.0), "png"), width="stretch",
        alt=f"Cross-section in the can, and after each step: {steps}.",
    )  # fmt: skip
