"""The controls at the side, in the order of the work: can, forging, blade, grind, etch and light, what wanders."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, ask, choice, key, number, optional, pair, slider, whole
from preview.page.session import open_table

STEP_WORDS = {
    "consolidate": "Consolidate the powder",
    "press": "Press",
    "turn": "Turn the bar",
    "twist": "Twist",
    "tile": "Cut and tile",
    "trim": "Mill off",
    "forge_bevel": "Forge the bevel in",
    "taper": "Forge a taper",
}
NEW_STEPS: dict[str, dict[str, Any]] = {
    "consolidate": {},
    "press": {"height": 10.0, "bite": 20.0},
    "turn": {"quarters": 1},
    "twist": {"turns": 1.0},
    "tile": {"slice": 8.0},
    "trim": {"faces": 0.5},
    "forge_bevel": {"edge_thickness": 2.0, "height": 15.0},
    "taper": {"tip_thickness": 3.0},
}


def can_controls(job: Table) -> None:
    pattern, can = job["pattern"], job["can"]
    st.caption("Inside of the can. The pattern picture fills it unless you give its size.")
    left, right = st.columns(2)
    with left:
        number(can, "length", "Can length, mm", ("can",), 75, min_value=1.0)
        number(can, "height", "Can height, mm", ("can",), 44, min_value=1.0, help="As it lies in the press.")
    with right:
        number(can, "width", "Can width, mm", ("can",), 26, min_value=1.0)
        number(can, "wall", "Wall, mm", ("can",), 2.5, min_value=0.0)
    slider(
        can, "fill_density", "Fill density", ("can",), 0.6, 0.3, 1.0,
        help="Weight of the powder in the can over that of solid steel of the same volume. Weigh it.",
    )  # fmt: skip
    choice(
        pattern, "dividers", "Dividers run", ("pattern",), ["through", "along"],
        help="Through the blade: the picture lies on the can's floor. Along it: the picture stands across the can.",
    )  # fmt: skip
    given = "size" in pattern
    if st.checkbox("The picture is smaller than the can", value=given, key=key("pattern", "size", "given")):
        room = (can["length"], can["width"]) if pattern["dividers"] == "through" else (can["width"], can["height"])
        size = pattern.get("size", room)
        wide, high = st.columns(2)
        pattern["size"] = (
            ask(wide, "Picture width, mm", size[0], key("pattern", "size", 0), min_value=0.1),
            ask(high, "Picture height, mm", size[1], key("pattern", "size", 1), min_value=0.1),
        )
    else:
        pattern.pop("size", None)
    st.caption("Powders: colour in the picture, nickel in mass %, unevenness of mixed-in nickel.")
    for index, powder in enumerate(job["powders"]):
        path = ("powders", index)
        name, nickel, mottle = st.columns([1.2, 1, 1])
        name.markdown(f"**{powder['name']}**  \n{', '.join(powder['colours'])}")
        with nickel:
            number(powder, "nickel", "Nickel %", path, 0, min_value=0.0, max_value=100.0)
        with mottle:
            number(powder, "mottle", "Mottle", path, 0, min_value=0.0, max_value=1.0, step=0.05)


def press_controls(step: Table, path: tuple[Any, ...]) -> None:
    number(step, "height", "Down to, mm", path, 10, min_value=0.1)
    rules = {"bite": "bite of the die, mm", "width": "measured width after, mm", "spread": "share to width, 0 to 1"}
    given = next((rule for rule in rules if rule in step), "bite")
    rule = st.selectbox(
        "Spread from",
        list(rules),
        index=list(rules).index(given),
        format_func=rules.__getitem__,
        key=key(*path, "rule"),
    )
    for other in rules:
        if other != rule:
            step.pop(other, None)
    start = {"bite": 20.0, "width": 40.0, "spread": 0.3}[rule]
    number(step, rule, rules[rule].capitalize(), path, start, min_value=0.0, step=0.05 if rule == "spread" else 0.5)
    own = st.checkbox(
        "Friction of its own", value="friction" in step, key=key(*path, "friction", "given"),
        help="Left alone, friction is your calibration's, or 0.7.",
    )  # fmt: skip
    if own:
        slider(
            step, "friction", "Friction factor", path, 0.7, 0.0, 1.0,
            help="0 none, 0.2 to 0.4 graphite or glass, 0.6 to 1 dry or scaled: it makes the sides bulge.",
        )  # fmt: skip
    else:
        step.pop("friction", None)
    whole(step, "repeat", "Passes", path, 1, min_value=1, max_value=60)
    step["turn_between"] = st.checkbox(
        "Quarter turn between passes", value=step.get("turn_between", False), key=key(*path, "turn_between"),
        help="Draws thickness and width down together, towards a square.",
    )  # fmt: skip


def step_controls(step: Table, path: tuple[Any, ...]) -> None:
    match step["step"]:
        case "consolidate":
            shares = step.setdefault("shares", {"along": 0.0, "across": 0.0, "through": 1.0})
            st.caption("How the settling is shared; the three add up to 1.")
            for column, name in zip(st.columns(3), ("along", "across", "through"), strict=True):
                with column:
                    number(
                        shares, name, name.capitalize(), (*path, "shares"), 0, min_value=0.0, max_value=1.0, step=0.05
                    )
        case "press":
            press_controls(step, path)
        case "turn":
            whole(step, "quarters", "Quarter turns", path, 1)
        case "twist":
            number(step, "turns", "Turns over the bar's length", path, 1, step=0.25)
        case "tile":
            number(step, "slice", "Slice thickness, mm", path, 8, min_value=0.1)
            number(step, "kerf", "Lost in each cut, mm", path, 1.5, min_value=0.0)
            st.caption("Slices are laid end grain to the face, heel first, and welded side by side.")
        case "trim":
            pair(step, "faces", "Faces", path, ("below", "above"))
            pair(step, "sides", "Sides", path, ("edge", "spine"))
            pair(step, "ends", "Ends", path, ("heel", "tip"))
        case "forge_bevel":
            number(step, "edge_thickness", "Thickness at the edge, mm", path, 2, min_value=0.1)
            number(step, "height", "Height of the wedge, mm", path, 15, min_value=0.1)
        case "taper":
            number(step, "tip_thickness", "Thickness at the tip, mm", path, 3, min_value=0.1)
            optional(step, "tip_width", "Width at the tip, mm", path, 20, "Narrower at the tip too", min_value=0.1)
    heat = step.get("heat", {"temperature": 1150.0, "minutes": 0.0})
    left, right = st.columns(2)
    with left:
        number(heat, "temperature", "Heat, °C", (*path, "heat"), 1150, step=10.0)
    with right:
        number(heat, "minutes", "Minutes at heat", (*path, "heat"), 0, min_value=0.0, step=5.0)
    if heat["minutes"]:
        step["heat"] = heat
    else:
        step.pop("heat", None)


def forging_controls(job: Table) -> None:
    st.caption("Oldest first, as you work. Cold sizes.")
    for index, step in enumerate(job["forging"]):
        words = STEP_WORDS[step["step"]]
        if step["step"] == "press":
            words += f" to {step['height']:g} mm"
        with st.expander(f"Step {index + 1}: {words}"):
            step_controls(step, ("forging", index))
            st.button("Take this step out", key=key("forging", index, "out"), on_click=change_steps, args=(index, None))
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    kind = left.selectbox("Next step", list(STEP_WORDS), format_func=STEP_WORDS.__getitem__, key=key("forging", "kind"))
    right.button("Add", key=key("forging", "add"), on_click=change_steps, args=(len(job["forging"]), kind))


def change_steps(index: int, kind: str | None) -> None:
    """Take out step ``index``, or add one of ``kind`` there, and start the widgets anew from the changed job."""
    table = st.session_state.table
    if kind is None:
        del table["forging"][index]
    else:
        table["forging"].insert(index, {"step": kind, **NEW_STEPS[kind]})
    open_table(table)


def blade_controls(job: Table) -> None:
    blade = job["blade"]
    outline, placement = blade["outline"], blade["placement"]
    choice(outline, "shape", "Outline", ("blade",), list(preview.OUTLINES))
    left, right = st.columns(2)
    with left:
        number(outline, "length", "Blade length, mm", ("blade",), 180, min_value=1.0)
    with right:
        number(outline, "height", "Blade height, mm", ("blade",), 36, min_value=1.0)
    optional(blade, "thickness", "Thickness, mm", ("blade",), 4, "Thinner than the bar", min_value=0.1, step=0.1)
    optional(blade, "tip_thickness", "At the tip, mm", ("blade",), 2, "Ground distal taper", min_value=0.1, step=0.1)
    st.caption("Where the blade lies in the bar. Left alone, it lies in the middle.")
    placed = ("blade", "placement")
    optional(placement, "heel", "Heel from the bar's end, mm", placed, 5, "Place along the bar", min_value=0.0)
    optional(placement, "edge", "Edge from the bar's side, mm", placed, 3, "Place across the bar", min_value=0.0)
    number(placement, "mid_plane", "Mid-plane off the bar's, mm", placed, 0, step=0.1)


def bevel_controls(bevel: Table, path: tuple[Any, ...], job: Table) -> None:
    kind = choice(
        bevel, "kind", "Grind", path, list(preview.GRIND_KINDS),
        help="None leaves the face flat: the other one becomes a single bevel.",
    )  # fmt: skip
    if kind not in preview.GROUND_KINDS:
        return
    hold = choice(
        bevel, "hold", "Hold", path, ["height", "angle"],
        help="What stays the same while the blade tapers: the grind line's height, or the angle of a jig.",
    )  # fmt: skip
    high = float(job["blade"]["outline"]["height"])
    if hold == "angle":
        slider(bevel, "angle", "Grind angle, ° a side", path, 5.0, 1.0, 25.0, step=0.1)
    else:
        full = bevel.get("height", "full") == "full"
        if st.checkbox("Full height", value=full, key=key(*path, "full")):
            bevel["height"] = "full"
        else:
            if full:
                bevel["height"] = 0.7 * high
            slider(bevel, "height", "Grind height, mm", path, 0.7 * high, 1.0, max(high, 2.0), step=0.1)
    ground = preview.GROUND_KINDS[kind]
    for name, control in ground.own_controls().items():
        number(
            bevel, name, f"{control.label}, {control.unit}", path, ground.model_fields[name].default,
            min_value=control.least, max_value=control.most, step=control.step, help=control.help,
        )  # fmt: skip


def grind_controls(job: Table) -> None:
    grind = job["grind"]
    bevel_controls(grind["right"], ("grind", "right"), job)
    if st.checkbox("Left face ground differently", value="left" in grind, key=key("grind", "two")):
        grind.setdefault("left", dict(grind["right"]))
        st.markdown("**Left face**")
        bevel_controls(grind["left"], ("grind", "left"), job)
    else:
        grind.pop("left", None)
    number(grind, "edge", "Edge before sharpening, mm", ("grind",), 0.4, min_value=0.01, step=0.05)
    left, right = st.columns(2)
    with left:
        number(grind, "heel_flat", "Flat at the heel, mm", ("grind",), 0, min_value=0.0)
    with right:
        number(grind, "plunge", "Plunge, mm", ("grind",), 4, min_value=0.0)
    number(grind, "edge_offset", "Edge off centre, mm", ("grind",), 0, step=0.05)


def etch_controls(job: Table) -> None:
    etch, light = job["etch"], job["light"]
    slider(etch, "minutes", "Minutes in the etch", ("etch",), 12.0, 0.0, 60.0, step=0.5)
    left, right = st.columns(2)
    with left:
        slider(etch, "bright", "Bright, L*", ("etch",), 78.0, 30.0, 100.0, help="Lightness read off your coupon.")
    with right:
        slider(etch, "dark", "Dark, L*", ("etch",), 24.0, 0.0, 70.0, help="Lightness read off your coupon.")
    optional(etch, "dark_finish", "Dark after finish, L*", ("etch",), 14, "Coffee or another dark finish", step=1.0)
    slider(light, "azimuth", "Light from, °", ("light",), 105.0, -180.0, 360.0, help="0 right, 90 above, 180 left.")
    slider(light, "elevation", "Light's height, °", ("light",), 40.0, 5.0, 90.0)
    choice(light, "finish", "Finish of the bright steel", ("light",), ["satin", "polished"])


UNSURE = {
    "hammer": "Uneven blows, mm",
    "hammer_length": "over a length of, mm",
    "bevel": "Grind height, mm",
    "angle": "Grind angle, °",
    "edge_offset": "Edge off centre, mm",
    "thickness": "Thickness, mm",
    "heel": "Place along the bar, mm",
    "edge": "Place across the bar, mm",
    "mid_plane": "Mid-plane, mm",
}


def unsure_controls(job: Table) -> None:
    st.caption("One standard deviation of what is not held exactly. Spread and friction have theirs from your forge.")
    for name, label in UNSURE.items():
        number(job["unsure"], name, label, ("unsure",), 0, min_value=0.0, step=0.1)


GROUPS: tuple[tuple[str, Callable[[Table], None], bool], ...] = (
    ("1 · In the can", can_controls, False),
    ("2 · Forging", forging_controls, False),
    ("3 · The blade", blade_controls, False),
    ("4 · The grind", grind_controls, True),
    ("5 · Etch and light", etch_controls, False),
    ("6 · What wanders", unsure_controls, False),
)
