"""The controls at the side, in the order of the work: can, forging, blade, grind, etch and light, what wanders."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import streamlit as st

import preview
from preview.page.asking import Path, Table, ask, ask_field, ask_fields, choice, control_of, key, number, units
from preview.page.session import open_table, saved, use_outline, use_picture
from preview.page.showing import as_lines, data_url
from preview.page.starting import DRAWINGS, PATTERNS
from preview.page.telling import told
from preview.page.template import TYPES, told_of

STEPS = {step.model_fields["step"].default: step for step in preview.STEPS}


def can_controls(job: Table) -> None:
    pattern, can = job["pattern"], job["can"]
    st.caption("Inside of the can.")
    ask_fields(can, preview.Job.part("can"), ("can",), ("length", "width"), ("height", "wall"), "fill_density")
    run = pattern["dividers"]
    ask_fields(pattern, preview.Job.part("pattern"), ("pattern",), "dividers")
    if pattern["dividers"] != run and "size" in pattern:
        fit_picture(job)  # they see the can from elsewhere: another room for the picture
    place_controls(job)
    other_picture()
    st.caption("Powders: colour in the picture, nickel in mass %, unevenness of mixed-in nickel.")
    for index, powder in enumerate(job["powders"]):
        name, nickel, mottle = st.columns([1.2, 1, 1])
        name.markdown(f"**{powder['name']}**  \n{', '.join(powder['colours'])}")
        with nickel:
            ask_field(powder, preview.Job.part("powders"), "nickel", ("powders", index))
        with mottle:
            ask_field(powder, preview.Job.part("powders"), "mottle", ("powders", index))


def drawn_to_size(pattern: Table) -> bool:
    """Return whether a pattern is a drawing of shapes, which has its own size."""
    return str(pattern["picture"]).lower().endswith(tuple(DRAWINGS))


def place_controls(job: Table) -> None:
    """Ask how the picture lies in the can: over all of it, or in its own proportions, where and how large."""
    pattern, path = job["pattern"], ("pattern", "size")
    if drawn_to_size(pattern):
        st.caption("A drawing of shapes lies in the middle of the can, at its own size.")
        return
    fills = st.checkbox(
        "Fill the whole can (stretch it)", value="size" not in pattern, key=key(*path, "none"),
        help="Otherwise the picture keeps its proportions, and the first powder lies round it.",
    )  # fmt: skip
    if fills:
        for name in ("size", "at", "turn"):
            pattern.pop(name, None)
        return
    if "size" not in pattern:
        fit_picture(job)
        return
    size = pattern["size"]
    keeps = st.checkbox("Keep proportions", value=True, key=key(*path, "keeps"))
    wide, high = st.columns(2)
    width = ask(wide, "Picture width", size[0], key(*path, 0), unit="mm", min_value=0.1)
    if keeps:
        height = size[1] if width == size[0] else size[1] * width / size[0]
        ask(high, "Picture height", height, key(*path, "follows", height), unit="mm", disabled=True)
    else:
        height = ask(high, "Picture height", size[1], key(*path, 1), unit="mm", min_value=0.1)
    if (width, height) != tuple(size):
        pattern["size"] = (width, height)
    pattern.setdefault("at", (0.0, 0.0))
    pattern.setdefault("turn", 0.0)
    ask_fields(pattern, preview.Job.part("pattern"), ("pattern",), "at", "turn")


def fit_picture(job: Table) -> None:
    """Let the picture be as large as the can lets it, in its own proportions, and start the widgets anew."""
    pattern = {name: value for name, value in job["pattern"].items() if name not in {"size", "at", "turn"}}
    with contextlib.suppress(preview.PreviewError):  # what else is wrong in the job is told above the blade
        fitted = preview.fit_picture(preview.make_job({**job, "pattern": pattern}))
        open_table({**job, "pattern": fitted.pattern.model_dump(mode="json", exclude_none=True)})
        st.rerun()


def other_picture() -> None:
    """Offer to lay another picture; can, forging and blade stay."""
    widget_key = key("other_picture")
    with st.popover("Another picture for this job", width="stretch"):
        st.file_uploader(
            "Another picture for this job", type=PATTERNS, key=widget_key, on_change=exchange, args=(widget_key,),
            help="Can, forging, blade and grind stay. It is laid in its own proportions.", label_visibility="collapsed",
        )  # fmt: skip
        st.caption("Sizes, forging, blade and grind stay as they are.")


def exchange(widget_key: str) -> None:
    """Lay the uploaded picture; where it cannot be, say why."""
    upload = st.session_state[widget_key]
    if upload is None:
        return
    try:
        use_picture(upload)
    except preview.PreviewError as error:
        st.session_state.lost = told(error)


def forging_controls(job: Table) -> None:
    st.caption("Oldest first, as you work. Cold sizes.")
    for index, step in enumerate(job["forging"]):
        kind, path = STEPS[step["step"]], ("forging", index)
        with st.expander(f"Step {index + 1}: {kind.title}", expanded=index == st.session_state.get("added")):
            ask_fields(step, kind, path, *sorted(kind.asked(), key=lambda name: name == "heat"))  # the heat comes last
            st.button("Take this step out", key=key(*path, "out"), on_click=change_steps, args=(index, None))
    name = st.selectbox(
        "Another step", list(STEPS), format_func=lambda name: STEPS[name].title, key=key("forging", "kind")
    )
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    last = len(job["forging"])
    place = left.selectbox(
        "It comes", range(last, -1, -1), key=key("forging", "place"),
        format_func=lambda place: "last" if place == last else f"before step {place + 1}",
    )  # fmt: skip
    right.button("Add", key=key("forging", "add"), on_click=change_steps, args=(place, name))


def change_steps(index: int, name: str | None) -> None:
    """Take out step ``index``, or add one called ``name`` there, and start the widgets anew from the changed job."""
    table = st.session_state.table
    st.session_state.added = None if name is None else index  # it opens, to be given its sizes
    if name is None:
        del table["forging"][index]
    else:
        table["forging"].insert(index, STEPS[name].example().model_dump(mode="json", exclude_none=True))
    open_table(table)


def blade_controls(job: Table) -> None:
    ask_fields(job["blade"], preview.Job.part("blade"), ("blade",))
    with st.expander("A blade that you have drawn"):
        drawn_blade(job)


def drawn_blade(job: Table) -> None:
    """Take in a drawing of a blade, and show what is understood of it."""
    drawing = st.file_uploader(
        "Drawing or photo of it", type=TYPES, key="blade_drawing",
        help="One closed line round the blade, with or without its tang, at its true size; or the photo of a template "
        "on plain ground.",
    )  # fmt: skip
    outline: preview.Outline | None = None
    try:
        if drawing is not None and (stated := told_of(drawing)) is not None:
            outline = own = preview.read_outline(saved(drawing), stated)
            st.button("Use it in this job", key="use_outline", on_click=use_outline, args=(own,))
        elif drawing is None and job["blade"]["outline"]["shape"] == "drawn":
            outline = preview.make_job(job).blade.outline
    except preview.PreviewError as error:
        st.error(told(error))
    if outline is not None:
        st.image(
            data_url(preview.profile_picture(outline, "svg", units()), "svg+xml"), width="stretch",
            alt="What is understood of the drawing: edge, spine, heel, tip, and what else there is.",
        )  # fmt: skip
        st.markdown(as_lines("\n".join(note.told(units()) for note in outline.notes)))


def as_ground(side: Any) -> Table:
    """Return the height and angle at mid-blade of a face's bevel, as it was last ground."""
    ground = st.session_state.good.ground
    bevel = ground.bevel(side, np.array([ground.blade.outline.length / 2]))
    high = ground.blade.outline.height
    return {"height": round(min(float(bevel.height[0]), high), 1), "angle": round(float(bevel.angle[0]), 1)}


def bevel_controls(bevel: Table, path: Path, job: Table) -> None:
    """Ask for a bevel: its kind, what is held, and what its kind needs."""
    kinds = preview.GRIND_KINDS
    kind = kinds[choice(bevel, "kind", control_of(preview.Job.part("grind"), "right"), path, list(kinds))]
    if not kind.is_ground:
        return
    held = bevel.get("hold")
    ask_field(bevel, kind, "hold", path)
    if held and held != bevel["hold"]:
        bevel.update(as_ground(path[-1]))  # the picture stays, whichever of the two is held
    if bevel["hold"] == "angle":
        ask_field(bevel, kind, "angle", path)
    else:
        high = float(job["blade"]["outline"]["height"])
        full = bevel.get("height", "full") == "full"
        if st.checkbox("Full height", value=full, key=key(*path, "full")):
            bevel["height"] = "full"
        else:
            if full:
                bevel["height"] = 0.7 * high
            number(bevel, "height", replace(control_of(kind, "height"), most=max(high, 2.0)), path)
    for name in kind.own_controls():
        ask_field(bevel, kind, name, path)


def grind_controls(job: Table) -> None:
    grind = job["grind"]
    bevel_controls(grind["right"], ("grind", "right"), job)
    if st.checkbox("Left face ground differently", value="left" in grind, key=key("grind", "two")):
        grind.setdefault("left", dict(grind["right"]))
        st.markdown("**Left face**")
        bevel_controls(grind["left"], ("grind", "left"), job)
    else:
        grind.pop("left", None)
    ask_fields(grind, preview.Job.part("grind"), ("grind",), "edge", ("heel_flat", "plunge"), "edge_offset")


def etch_controls(job: Table) -> None:
    ask_fields(job["etch"], preview.Job.part("etch"), ("etch",), "minutes", ("bright", "dark"), "dark_finish")
    ask_fields(job["light"], preview.Job.part("light"), ("light",))


def unsure_controls(job: Table) -> None:
    st.caption("One standard deviation of what is not held exactly. Spread and friction have theirs from your forge.")
    ask_fields(job["unsure"], preview.Job.part("unsure"), ("unsure",))


GROUPS: tuple[tuple[str, Callable[[Table], None], bool], ...] = (
    ("1 · In the can", can_controls, False),
    ("2 · Forging", forging_controls, False),
    ("3 · The blade", blade_controls, False),
    ("4 · The grind", grind_controls, True),
    ("5 · Etch and light", etch_controls, False),
    ("6 · What wanders", unsure_controls, False),
)
