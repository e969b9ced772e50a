"""The controls at the side, in the order of the work: can, forging, blade, grind, etch and light, what wanders."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import streamlit as st

import preview
from preview.page.asking import Path, Table, ask, ask_field, ask_fields, choice, key, number
from preview.page.session import open_table

STEPS = {step.model_fields["step"].default: step for step in preview.STEPS}


def can_controls(job: Table) -> None:
    pattern, can = job["pattern"], job["can"]
    st.caption("Inside of the can. The pattern picture fills it unless you give its size.")
    ask_fields(can, preview.Can, ("can",), ("length", "width"), ("height", "wall"), "fill_density")
    ask_fields(pattern, preview.Pattern, ("pattern",), "dividers")
    given = "size" in pattern
    if st.checkbox("The picture is smaller than the can", value=given, key=key("pattern", "size", "given")):
        room = (can["length"], can["width"]) if pattern["dividers"] == "through" else (can["width"], can["height"])
        size = pattern.get("size", room)
        wide, high = st.columns(2)
        pattern["size"] = (
            ask(wide, "Picture width", size[0], key("pattern", "size", 0), unit="mm", min_value=0.1),
            ask(high, "Picture height", size[1], key("pattern", "size", 1), unit="mm", min_value=0.1),
        )
    else:
        pattern.pop("size", None)
    st.caption("Powders: colour in the picture, nickel in mass %, unevenness of mixed-in nickel.")
    for index, powder in enumerate(job["powders"]):
        name, nickel, mottle = st.columns([1.2, 1, 1])
        name.markdown(f"**{powder['name']}**  \n{', '.join(powder['colours'])}")
        with nickel:
            ask_field(powder, preview.Powder, "nickel", ("powders", index))
        with mottle:
            ask_field(powder, preview.Powder, "mottle", ("powders", index))


def forging_controls(job: Table) -> None:
    st.caption("Oldest first, as you work. Cold sizes.")
    for index, step in enumerate(job["forging"]):
        kind, path = STEPS[step["step"]], ("forging", index)
        with st.expander(f"Step {index + 1}: {kind.title}"):
            ask_fields(step, kind, path, *sorted(kind.asked(), key=lambda name: name == "heat"))  # the heat comes last
            st.button("Take this step out", key=key(*path, "out"), on_click=change_steps, args=(index, None))
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    name = left.selectbox(
        "Next step", list(STEPS), format_func=lambda name: STEPS[name].title, key=key("forging", "kind")
    )
    right.button("Add", key=key("forging", "add"), on_click=change_steps, args=(len(job["forging"]), name))


def change_steps(index: int, name: str | None) -> None:
    """Take out step ``index``, or add one called ``name`` there, and start the widgets anew from the changed job."""
    table = st.session_state.table
    if name is None:
        del table["forging"][index]
    else:
        table["forging"].insert(index, STEPS[name].example().model_dump(mode="json", exclude_none=True))
    open_table(table)


def blade_controls(job: Table) -> None:
    ask_fields(job["blade"], preview.Blade, ("blade",))


BEVEL: Mapping[str, preview.Control] = {
    "kind": preview.Control("Grind", help="None leaves the face flat: the other one becomes a single bevel."),
    "hold": preview.Control(
        "Hold", help="What stays the same while the blade tapers: the grind line's height, or the angle of a jig."
    ),
    "angle": preview.Control(
        "Grind angle", "° a side", "From the blade's mid-plane to the bevel, on each side.",
        least=1.0, most=25.0, step=0.1, slider=True, start=5.0,
    ),
    "height": preview.Control(
        "Grind height", "mm", "From the edge up to the grind line.", least=1.0, step=0.1, slider=True
    ),
    "wheel_radius": preview.Control("Wheel radius", "mm", "Half the contact wheel's diameter.", least=1.0, step=5.0),
    "sag": preview.Control(
        "Sag over the chord", "mm", "How far a convex bevel stands over the straight line from edge to grind line.",
        least=0.01, step=0.05,
    ),
}  # fmt: skip
OF_A_KIND: Mapping[str, tuple[str, ...]] = {"flat": (), "hollow": ("wheel_radius",), "convex": ("sag",), "none": ()}
"""What is asked for of each kind of grind alone."""


def bevel_controls(bevel: Table, path: Path, job: Table) -> None:
    kind = choice(bevel, "kind", BEVEL["kind"], path, list(OF_A_KIND))
    if kind == "none":
        return
    hold = choice(bevel, "hold", BEVEL["hold"], path, ["height", "angle"])
    high = float(job["blade"]["outline"]["height"])
    if hold == "angle":
        number(bevel, "angle", BEVEL["angle"], path)
    else:
        full = bevel["height"] == "full"
        if st.checkbox("Full height", value=full, key=key(*path, "full")):
            bevel["height"] = "full"
        else:
            if full:
                bevel["height"] = 0.7 * high
            number(bevel, "height", replace(BEVEL["height"], most=max(high, 2.0)), path)
    for name in OF_A_KIND[kind]:
        number(bevel, name, BEVEL[name], path)


def grind_controls(job: Table) -> None:
    grind = job["grind"]
    bevel_controls(grind["right"], ("grind", "right"), job)
    if st.checkbox("Left face ground differently", value="left" in grind, key=key("grind", "two")):
        grind.setdefault("left", dict(grind["right"]))
        st.markdown("**Left face**")
        bevel_controls(grind["left"], ("grind", "left"), job)
    else:
        grind.pop("left", None)
    ask_fields(grind, preview.Grind, ("grind",), "edge", ("heel_flat", "plunge"), "edge_offset")


def etch_controls(job: Table) -> None:
    ask_fields(job["etch"], preview.Etch, ("etch",), "minutes", ("bright", "dark"), "dark_finish")
    ask_fields(job["light"], preview.Light, ("light",))


def unsure_controls(job: Table) -> None:
    st.caption("One standard deviation of what is not held exactly. Spread and friction have theirs from your forge.")
    ask_fields(job["unsure"], preview.Unsure, ("unsure",))


GROUPS: tuple[tuple[str, Callable[[Table], None], bool], ...] = (
    ("1 · In the can", can_controls, False),
    ("2 · Forging", forging_controls, False),
    ("3 · The blade", blade_controls, False),
    ("4 · The grind", grind_controls, True),
    ("5 · Etch and light", etch_controls, False),
    ("6 · What wanders", unsure_controls, False),
)
