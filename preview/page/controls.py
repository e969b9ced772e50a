"""The controls at the side, in the order of the work: can, forging, blade, grind, etch and light, what is unsure."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from functools import partial

import streamlit as st

import preview
from preview.page.asking import Table, ask_number, ask_slider, key, units
from preview.page.field_controls import ask_field, ask_fields, choice, control_of, hear_choice
from preview.page.remarks import Path, remark, where_of
from preview.page.session import open_table, use_picture
from preview.page.starting import DRAWINGS, PATTERNS
from preview.page.steps import forging_controls
from preview.page.telling import told
from preview.page.working import working


def can_controls(job: Table) -> None:
    pattern, can = job["pattern"], job["can"]
    st.caption("Inside of the can.")
    ask_fields(can, preview.Job.part("can"), ("can",), ("length", "width"), ("height", "wall"), "fill_density")
    tapped = "By their kinds, or as you measured them."
    if st.button("Fill to the powders' tap density", key=key("as_tapped"), help=tapped):
        fill_as_tapped(job)
    run = pattern["dividers"]
    ask_fields(pattern, preview.Job.part("pattern"), ("pattern",), "dividers")
    if pattern["dividers"] != run and "size" in pattern:
        fit_picture(job)  # they see the can from elsewhere: another room for the picture
    place_controls(job)
    other_picture()
    st.caption("Powders: colour in the picture, kind, nickel in mass %, how uneven it is where mixed in.")
    for index, powder in enumerate(job["powders"]):
        st.markdown(f"**{powder['name']}**, {', '.join(powder['colours'])}")
        ask_fields(powder, preview.Job.part("powders"), ("powders", index), "kind", ("nickel", "mottle"), "tap_density")


def fill_as_tapped(job: Table) -> None:
    """Give the can the fill density of its powders, tapped between the dividers; where that is none, say why."""
    try:
        with working("Measuring the room between the dividers"):
            found = preview.tapped_fill(preview.make_job(job))
    except preview.PreviewError as error:
        st.error(told(error))
        return
    if found is None:
        st.info("Say of what kind your powders are, or how dense you measured them: below, under each powder.")
    elif found < preview.LEAST_FILL:
        st.error(f"The dividers leave room for a fill of {found:.2f} only: the pattern is too fine for this can.")
    else:
        job["can"]["fill_density"] = round(found, 3)
        st.rerun()


def drawn_to_size(pattern: Table) -> bool:
    """Return whether a pattern is a drawing of shapes, which has its own size."""
    return str(pattern["picture"]).lower().endswith(tuple(DRAWINGS))


def place_controls(job: Table) -> None:
    """Ask how the picture lies in the can: over all of it, or in its own proportions, where and how large."""
    pattern, path = job["pattern"], ("pattern", "size")
    fills = st.checkbox(
        "At the drawing's own size" if drawn_to_size(pattern) else "Fill the whole can (stretch it)",
        value="size" not in pattern, key=key(*path, "none", "size" in pattern),  # it may be placed in the can meanwhile
        help="Otherwise the picture keeps its proportions, and the first powder lies round it.",
    )  # fmt: skip
    if fills:
        if pattern.pop("size", None):
            pattern.update(at=(0.0, 0.0), turn=0.0)
            open_table(job)
            st.rerun()
        return
    if "size" not in pattern:
        fit_picture(job)
        return
    size = pattern["size"]
    keeps = st.checkbox("Keep proportions", value=True, key=key(*path, "keeps"))

    def sized(place: int, side: float) -> None:
        scale = side / size[place]
        pattern["size"] = tuple(
            side if at == place else each * scale if keeps else each for at, each in enumerate(size)
        )

    for place, (column, label) in enumerate(zip(st.columns(2), ("Picture width", "Picture height"), strict=True)):
        ask_number(column, label, size[place], (*path, place), partial(sized, place), unit="mm", least=0.1)
    remark(path)
    pattern.setdefault("at", (0.0, 0.0))
    pattern.setdefault("turn", 0.0)
    ask_fields(pattern, preview.Job.part("pattern"), ("pattern",), "at", "turn")


def fit_picture(job: Table) -> None:
    """Let the picture be as large as the can lets it, in its own proportions, and start the widgets anew."""
    pattern = {name: value for name, value in job["pattern"].items() if name not in {"size", "at", "turn"}}
    with contextlib.suppress(preview.PreviewError):  # what else is wrong is told where it is
        fitted = preview.fit_picture(preview.make_job({**job, "pattern": {**pattern, "size": (1.0, 1.0)}}))
        open_table({**job, "pattern": fitted.pattern.model_dump(mode="json", exclude_none=True)})
        st.rerun()


def other_picture() -> None:
    """Offer to lay another picture; can, forging and blade stay."""
    widget_key = key("other_picture")
    with st.popover("Another picture for this work", width="stretch"):
        st.file_uploader(
            "Another picture for this work", type=PATTERNS, key=widget_key, on_change=exchange, args=(widget_key,),
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


def blade_controls(job: Table) -> None:
    ask_fields(job["blade"], preview.Job.part("blade"), ("blade",))
    st.caption("A profile of your own, drawn or cut out: *Your drawings*, below the blade.")


def bevel_controls(bevel: Table, path: Path, *, other: bool) -> None:
    """Ask for a bevel: its kind, its height and angle, and what its kind needs. One face at least has to be ground.

    ``other`` says whether the other face is.
    """
    kinds = {name: kind for name, kind in preview.GRIND_KINDS.items() if kind.is_ground or other}
    control = control_of(preview.Job.part("grind"), "right")
    kind = kinds[choice(bevel, "kind", control, path, list(kinds), lambda name: kinds[name].title.split()[0])]
    remark((*path, "kind"))
    if kind.is_ground:
        height_and_angle(bevel, kind, path)
        for name in kind.own_controls():
            ask_field(bevel, kind, name, path)


WAYS = {"height": "The height of the grind line", "angle": "The angle, as a jig holds it"}
"""What may stay the same while a blade tapers, in words."""


def bounds(path: Path) -> tuple[float | None, float | None]:
    """Return the least and the most that the rest of the job lets a number be, where it sets a bound."""
    there = st.session_state.get("limits", {}).get(where_of(path), ())
    low, high = ([each.nearest for each in there if each.most is most] for most in (False, True))
    return max(low, default=None), min(high, default=None)


def height_and_angle(bevel: Table, kind: type[preview.Bevel], path: Path) -> None:
    """Ask for a bevel's height and angle, two names of one thing, and which of them stays the same along the blade.

    The one that does not is that at mid-blade.
    """
    held, ground, side = bevel.setdefault("hold", "height"), st.session_state.standing.ground, path[-1]
    bevel.setdefault("height", "full")
    own = ground.grind.bevel(side)
    own = own if own.is_ground else kind.model_validate({})
    height, angle = ground.mid_grind(side, own)
    high = ground.blade.outline.height

    def heard(name: str, value: float) -> None:
        bevel[held] = value if name == held else ground.other_way(side, own, name, value)

    def hold(name: str) -> None:
        now = {"height": "full" if height > high - 0.05 else round(height, 2), "angle": round(angle, 5)}
        bevel.update({"hold": name, **now})  # the picture stays, whichever of the two is held

    controls = {name: control_of(kind, name) for name in WAYS}
    ends = ground.worth_trying(side, own, held, *bounds((*path, held)))
    shown = {"height": height, "angle": angle}
    shown[held] = high if bevel[held] == "full" else float(bevel[held])
    for column, name in zip(st.columns(2, vertical_alignment="bottom"), WAYS, strict=True):
        with column:
            control, (low, most) = controls[name], ends[name]
            ask_slider(
                control.label, round(shown[name], 2), low, most, (*path, name), partial(heard, name),
                unit=control.unit, step=control.step, least=control.least, most=control.most,
            )  # fmt: skip
    remark((*path, "height"))
    remark((*path, "angle"))
    for limit in st.session_state.limits.get(where_of((*path, held)), ()):
        if limit.cause == kind.cause:
            words = limit.words().told(units())
            st.caption(f"{words[0].upper()}{words[1:]}.")
    if held == "height":
        full = key(*path, "full")
        st.session_state[full] = bevel["height"] == "full"
        st.checkbox(
            "Full height", key=full, on_change=hear_choice, args=((*path, "full"), partial(fill_up, bevel, high))
        )
    control = control_of(kind, "hold")
    st.session_state[key(*path, "hold")] = held
    st.radio(
        control.label, list(WAYS), format_func=WAYS.__getitem__, key=key(*path, "hold"), help=control.help,
        on_change=hear_choice, args=((*path, "hold"), hold),
    )  # fmt: skip


def fill_up(bevel: Table, high: float, full: bool) -> None:
    """Let a bevel reach the spine of a blade ``high`` mm high, or not quite."""
    bevel["height"] = "full" if full else round(0.7 * high, 1)


def grind_controls(job: Table) -> None:
    grind, ground = job["grind"], [name for name, kind in preview.GRIND_KINDS.items() if kind.is_ground]
    bevel_controls(grind["right"], ("grind", "right"), other=grind.get("left", {}).get("kind") in ground)
    if st.checkbox("Left face ground differently", value="left" in grind, key=key("grind", "two")):
        grind.setdefault("left", dict(grind["right"]))
        st.markdown("**Left face**")
        bevel_controls(grind["left"], ("grind", "left"), other=grind["right"]["kind"] in ground)
    else:
        left = grind.pop("left", None)
        if left and grind["right"]["kind"] not in ground:
            grind["right"] = left
    ask_fields(
        grind, preview.Job.part("grind"), ("grind",), ("edge", "edge_angle"), ("heel_flat", "plunge"), "edge_offset"
    )


def etch_controls(job: Table) -> None:
    ask_fields(job["etch"], preview.Job.part("etch"), ("etch",), "minutes", "bright", "dark", "dark_finish", "tint")
    ask_fields(job["light"], preview.Job.part("light"), ("light",))
    st.caption("To tilt the blade and move the light by dragging: *Look closer*, *In the hand*.")


def unsure_controls(job: Table) -> None:
    st.caption(
        "One standard deviation of what is not held exactly. Spread and friction have theirs from your forge; "
        "so have fill, settling and scale once its can was weighed or measured."
    )
    ask_fields(job["unsure"], preview.Job.part("unsure"), ("unsure",))


Later = Callable[[preview.Job], None]
"""What a group shows only once the picture is out, since it takes a while."""

GROUPS: dict[int, tuple[Callable[[Table], Later | None], bool]] = {
    1: (can_controls, False),
    2: (forging_controls, False),
    3: (blade_controls, False),
    4: (grind_controls, True),
    5: (etch_controls, False),
    6: (unsure_controls, False),
}
"""The groups of controls, by the numbers of their titles, and whether they are open at first."""
