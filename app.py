"""The page: widgets only. What they say becomes a job; what the job gives is shown."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path, PurePath
from typing import Any

import streamlit as st

import preview

DEMOS = Path(__file__).parent / "demo_patterns"
OWN = "My own pattern"
PICTURES = ["png", "jpg", "jpeg", "tif", "tiff", "webp", "gif", "bmp"]
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
STYLE = """
<style>
[data-testid="stMainBlockContainer"] { padding-top: 2.5rem; }
[data-testid="stSidebarHeader"] { height: 2.5rem; margin-bottom: 0; }
/* the blade stays in sight while the page below it scrolls */
:has(> .st-key-faces) { position: sticky; top: 0; z-index: 5; background: BACKGROUND; }
.st-key-faces img { max-height: 62vh; object-fit: contain; }
</style>
"""

Table = dict[str, Any]


# --- one control for one key of the job -------------------------------------------------------------------


def _key(*path: Any) -> str:
    """Return a widget key that changes with each opened job, so that widgets start from its values."""
    return ".".join(map(str, (st.session_state.opened, *path)))


def number(table: Table, name: str, label: str, path: tuple[Any, ...], default: float, **look: Any) -> None:
    look = {"step": 0.5, "format": "%g", **look}
    value = st.number_input(label, value=float(table.get(name, default)), key=_key(*path, name), **look)
    table[name] = value


def whole(table: Table, name: str, label: str, path: tuple[Any, ...], default: int, **look: Any) -> None:
    table[name] = int(
        st.number_input(label, value=int(table.get(name, default)), step=1, key=_key(*path, name), **look)
    )


def slider(
    table: Table, name: str, label: str, path: tuple[Any, ...], default: float, low: float, high: float, **look: Any
) -> None:
    start = float(table.get(name, default))
    low, high = min(low, start), max(high, start)  # a job may say more than the slider usually offers
    look = {"format": "%g", **look}
    table[name] = st.slider(label, low, high, start, key=_key(*path, name), **look)


def choice(table: Table, name: str, label: str, path: tuple[Any, ...], options: list[str], **look: Any) -> str:
    start = options.index(table.get(name, options[0]))
    table[name] = st.selectbox(label, options, index=start, key=_key(*path, name), **look)
    return str(table[name])


def optional(table: Table, name: str, label: str, path: tuple[Any, ...], default: float, ask: str, **look: Any) -> None:
    """Offer a value that may be left to its usual one."""
    if st.checkbox(ask, value=name in table, key=_key(*path, name, "given")):
        number(table, name, label, path, default, **look)
    else:
        table.pop(name, None)


# --- the groups of controls, in the order of the work ------------------------------------------------------


def can_controls(job: Table) -> None:
    pattern, can = job["pattern"], job["can"]
    st.caption("Inside of the can, in mm. The pattern picture fills it unless you give its size.")
    left, right = st.columns(2)
    with left:
        number(can, "length", "Can length", ("can",), 75, min_value=1.0)
        number(can, "height", "Can height", ("can",), 44, min_value=1.0, help="As it lies in the press.")
    with right:
        number(can, "width", "Can width", ("can",), 26, min_value=1.0)
        number(can, "wall", "Wall", ("can",), 2.5, min_value=0.0)
    slider(
        can, "fill_density", "Fill density", ("can",), 0.6, 0.3, 1.0,
        help="Weight of the powder in the can over that of solid steel of the same volume. Weigh it.",
    )  # fmt: skip
    choice(
        pattern, "dividers", "Dividers run", ("pattern",), ["through", "along"],
        help="Through the blade: the picture lies on the can's floor. Along it: the picture stands across the can.",
    )  # fmt: skip
    given = "size" in pattern
    if st.checkbox("The picture is smaller than the can", value=given, key=_key("pattern", "size", "given")):
        room = (can["length"], can["width"]) if pattern["dividers"] == "through" else (can["width"], can["height"])
        size = pattern.get("size", room)
        wide, high = st.columns(2)
        pattern["size"] = (
            wide.number_input("Picture width", value=float(size[0]), min_value=0.1, key=_key("pattern", "size", 0)),
            high.number_input("Picture height", value=float(size[1]), min_value=0.1, key=_key("pattern", "size", 1)),
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
        key=_key(*path, "rule"),
    )
    for other in rules:
        if other != rule:
            step.pop(other, None)
    start = {"bite": 20.0, "width": 40.0, "spread": 0.3}[rule]
    number(step, rule, rules[rule].capitalize(), path, start, min_value=0.0, step=0.05 if rule == "spread" else 0.5)
    own = st.checkbox(
        "Friction of its own", value="friction" in step, key=_key(*path, "friction", "given"),
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
        "Quarter turn between passes", value=step.get("turn_between", False), key=_key(*path, "turn_between"),
        help="Draws thickness and width down together, towards a square.",
    )  # fmt: skip


def pair(step: Table, name: str, label: str, path: tuple[Any, ...], words: tuple[str, str]) -> None:
    value = step.get(name, 0.0)
    low, high = value if isinstance(value, (tuple, list)) else (value, value)
    left, right = st.columns(2)
    step[name] = (
        left.number_input(f"{label}, {words[0]}", value=float(low), min_value=0.0, step=0.1, key=_key(*path, name, 0)),
        right.number_input(
            f"{label}, {words[1]}", value=float(high), min_value=0.0, step=0.1, key=_key(*path, name, 1)
        ),
    )


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
    st.caption("Oldest first, as you work. Cold sizes in mm.")
    for index, step in enumerate(job["forging"]):
        words = STEP_WORDS[step["step"]]
        if step["step"] == "press":
            words += f" to {step['height']:g} mm"
        with st.expander(f"Step {index + 1}: {words}"):
            step_controls(step, ("forging", index))
            st.button(
                "Take this step out", key=_key("forging", index, "out"), on_click=change_steps, args=(index, None)
            )
    left, right = st.columns([2, 1], vertical_alignment="bottom")
    kind = left.selectbox(
        "Next step", list(STEP_WORDS), format_func=STEP_WORDS.__getitem__, key=_key("forging", "kind")
    )
    right.button("Add", key=_key("forging", "add"), on_click=change_steps, args=(len(job["forging"]), kind))


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
    choice(
        outline, "shape", "Outline", ("blade",), ["drop point", "clip point", "spear", "sheepsfoot", "straight back"]
    )  # fmt: skip
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
        bevel, "kind", "Grind", path, ["flat", "hollow", "convex", "none"],
        help="None leaves the face flat: the other one becomes a single bevel.",
    )  # fmt: skip
    if kind == "none":
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
        if st.checkbox("Full height", value=full, key=_key(*path, "full")):
            bevel["height"] = "full"
        else:
            if full:
                bevel["height"] = 0.7 * high
            slider(bevel, "height", "Grind height, mm", path, 0.7 * high, 1.0, max(high, 2.0), step=0.1)
    if kind == "hollow":
        number(bevel, "wheel_radius", "Wheel radius, mm", path, 125, min_value=1.0, step=5.0)
    if kind == "convex":
        number(bevel, "sag", "Sag over the chord, mm", path, 0.15, min_value=0.01, step=0.05)


def grind_controls(job: Table) -> None:
    grind = job["grind"]
    bevel_controls(grind["right"], ("grind", "right"), job)
    if st.checkbox("Left face ground differently", value="left" in grind, key=_key("grind", "two")):
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


# --- opening jobs ------------------------------------------------------------------------------------------


def open_table(table: Table) -> None:
    """Make ``table`` the job on the page; its widgets start anew."""
    st.session_state.table = table
    st.session_state.opened = st.session_state.get("opened", 0) + 1


def open_job(job: preview.Job) -> None:
    open_table({**job.model_dump(mode="json", exclude_none=True), "folder": job.folder, "forge": job.forge})
    st.session_state.good = job


def upload_folder() -> Path:
    """Return the folder that holds what this visitor has uploaded."""
    if "folder" not in st.session_state:
        st.session_state.folder = Path(tempfile.mkdtemp(prefix="etch-preview-"))
    return Path(st.session_state.folder)


def saved(upload: Any) -> Path | None:
    """Return an uploaded file's place in the visitor's folder, or None where there is none."""
    if upload is None:
        return None
    path = upload_folder() / (PurePath(upload.name.replace("\\", "/")).name.lstrip(".") or "upload")
    path.write_bytes(upload.getvalue())
    return path


def open_upload(picture: Any, job_file: Any, calibration: Any) -> None:
    """Open an uploaded picture, with its job file if there is one; only a job that gives a picture is taken."""
    name = saved(picture).name
    saved(calibration)
    if job_file is None:
        job = preview.make_job({"pattern": {"picture": name}, "folder": upload_folder()})
    else:
        job = preview.load_job(saved(job_file))
        pattern = job.pattern.model_copy(update={"picture": name})
        job = preview.check_job(job.model_copy(update={"pattern": pattern}))
    preview.preview(job, width=200)
    open_job(job)


def start_controls() -> None:
    demos = {path.stem: path for path in sorted(DEMOS.glob("*.toml"))}
    names = ["marsh_moon", *(name for name in demos if name != "marsh_moon")]
    chosen = st.selectbox(
        "Start from", [*names, OWN], key="start",
        format_func=lambda name: name if name == OWN else f"Demo: {name.replace('_', ' ')}",
    )  # fmt: skip
    if chosen != OWN:
        if st.session_state.get("source") != chosen:
            open_job(preview.load_job(demos[chosen]))
            st.session_state.source = chosen
        return
    picture = st.file_uploader(
        "Pattern picture", type=PICTURES, key="picture",
        help="White is the nickel steel, black the plain one, unless your job file says otherwise.",
    )  # fmt: skip
    job_file = st.file_uploader("Job file, if you have one", type=["toml"], key="job_file")
    calibration = st.file_uploader("Its calibration file, if it names one", type=["toml"], key="forge_file")
    if picture is None:
        st.info("Choose a picture, then fill in the sizes below. Until then the last job stays.")
        return
    source = tuple(upload.file_id for upload in (picture, job_file, calibration) if upload)
    if st.session_state.get("source") != source:
        st.session_state.source = source
        st.session_state.pop("refused", None)
        try:
            open_upload(picture, job_file, calibration)
        except preview.PreviewError as error:
            st.session_state.refused = str(error)
    if "refused" in st.session_state:
        st.error(as_lines(st.session_state.refused, hide=str(upload_folder())))


# --- showing -----------------------------------------------------------------------------------------------


def as_lines(message: str, hide: str = "") -> str:
    """Return an error for the page: a line for each fault, without the folder that only the server knows."""
    if hide:
        message = message.replace(f"{hide}/", "")
    return "\n".join(f"- {line}" for line in message.splitlines())


def data_url(content: bytes, kind: str) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(content).decode()}"


def show_faces(job: preview.Job) -> preview.Preview:
    shown = preview.preview(job)
    words = "right face unground" if job.grind.right.kind == "none" else f"{job.grind.right.kind} grind"
    st.image(
        data_url(preview.jpeg_bytes(shown.picture), "jpeg"), width="stretch",
        alt=f"Etched blade, right face above, left face below; {job.blade.outline.shape}, {words}.",
    )  # fmt: skip
    st.caption("Right face above, left face below. A likely look, not a promise: calibrate the tones on a coupon.")
    return shown


def show_section(job: preview.Job) -> None:
    length = job.blade.outline.length
    station = st.slider(
        "Cut at, mm from the heel", 0.0, float(length), float(length / 2), format="%g", key=_key("station")
    )
    st.image(
        data_url(preview.section_bytes(job, station, 16.0), "png"), width="stretch",
        alt=f"Cross-section {station:g} mm from the heel, edge on the left, right face above.",
    )  # fmt: skip
    st.caption(
        "True to scale, edge on the left, right face above. Lines: the ground faces. Faded: what is ground away."
    )


def show_numbers(shown: preview.Preview) -> None:
    st.table({"": dict(preview.report_lines(shown))})
    st.caption(preview.TRUST)


def show_saving(job: preview.Job, shown: preview.Preview) -> None:
    name = (job.title or "blade").split(",")[0].lower().replace(" ", "_")
    st.download_button(
        "Picture (PNG, prints at true size)", key="save_png", on_click="ignore", mime="image/png",
        file_name=f"{name}.png", data=lambda: preview.png_bytes(preview.preview(job, px_per_mm=16).picture, 16.0),
    )  # fmt: skip
    st.download_button(
        "Job file (TOML)", key="save_job", on_click="ignore", mime="application/toml", file_name=f"{name}.toml",
        data=lambda: preview.dump_job(job),
        help="Keep it beside its pattern picture; open both here or on the command line.",
    )  # fmt: skip
    if job.forge:
        st.download_button(
            "Calibration file (TOML)", key="save_used_forge", on_click="ignore", mime="application/toml",
            file_name=job.calibration or "forge.toml", data=lambda: preview.dump_calibration(job.forge),
            help="The job file refers to it: keep both in one folder.",
        )  # fmt: skip
    st.download_button(
        "Report (text)", key="save_report", on_click="ignore", mime="text/plain", file_name=f"{name}.txt",
        data=lambda: preview.report_text(shown),
    )  # fmt: skip


def show_likely(job: preview.Job) -> None:
    with st.spinner("Drawing likely blades"):
        found = preview.likely(job, width=800)
    st.markdown("**Six likely looks of the right face**")
    st.image(data_url(preview.jpeg_bytes(found.sheet), "jpeg"), width="stretch", alt="Six likely looks, right face.")
    st.markdown(f"**How likely each spot is bright**, over {found.draws} draws: white always, black never")
    st.image(data_url(preview.jpeg_bytes(found.map), "jpeg"), width="stretch", alt="Chance of bright, both faces.")
    st.markdown("**Where the pattern may lie**: four times in five within, mm from where it is shown, at mid-length")
    st.table(
        {
            "at the": [band.place for band in found.bands],
            "heel to tip": [f"{band.along[0]:+.1f} to {band.along[1]:+.1f}" for band in found.bands],
            "edge to spine": [f"{band.across[0]:+.1f} to {band.across[1]:+.1f}" for band in found.bands],
        }
    )


# --- from the wanted picture back to the can ---------------------------------------------------------------


def show_layout(job: preview.Job, table: Table) -> None:
    st.markdown("**A picture that is to stand on the finished blade**, carried back to what to lay in the can")
    art = st.file_uploader(
        "Wanted picture", type=PICTURES, key="wanted",
        help="White where the nickel steel is to show, black where the plain one is, or your powders' colours.",
    )  # fmt: skip
    outline = job.blade.outline
    with st.form("layout_form", border=False):
        face, along, across = st.columns(3)
        side = face.selectbox("On the face", ["right", "left", "both"], key="wanted_face")
        at = (
            along.number_input("Its middle from the heel, mm", value=outline.length / 2, step=1.0, format="%g"),
            across.number_input("Its middle over the edge line, mm", value=outline.height / 2, step=1.0, format="%g"),
        )
        width, turn, _ = st.columns(3)
        size = width.number_input(
            "Its width, mm", value=None, min_value=1.0, format="%g", placeholder="as large as fits", key="wanted_width"
        )
        turned = turn.number_input("Turned, °", value=0.0, step=5.0, format="%g", key="wanted_turn")
        asked = st.form_submit_button("Lay it out")
    if art is None:
        st.info("Choose a picture. Both faces show it upright on the right one; the left one then shows its mirror.")
        return
    if asked:
        wanted = preview.make_wanted({"picture": saved(art), "face": side, "at": at, "size": size, "turn": turned})
        try:
            with st.spinner("Following every column of the can to the face"):
                st.session_state.layout = (preview.lay_out(job, wanted), wanted, job)
        except preview.PreviewError as error:
            st.session_state.pop("layout", None)
            st.error(as_lines(str(error), hide=str(upload_folder())))
    if "layout" not in st.session_state:
        return
    layout, wanted, of = st.session_state.layout
    if of.history != job.history or of.blade != job.blade or of.grind != job.grind:
        st.warning("The forging, the blade or the grind has changed since: lay it out again.")
    laid = preview.laid_out(layout, upload_folder())
    shown = preview.preview(laid)
    st.image(
        data_url(preview.jpeg_bytes(preview.beside_picture(shown, wanted)), "jpeg"), width="stretch",
        alt="The wanted picture, and below it the blade as laid out.",
    )  # fmt: skip
    words = [
        f"{s.capitalize()} face: {preview.agreement_words(preview.agreement_of(laid, wanted, s))}."
        for s in wanted.sides
    ]
    st.markdown(as_lines("\n".join([*words, *layout.notes])))
    st.image(
        data_url(preview.png_bytes(layout.picture, layout.px_per_mm), "png"), width="stretch",
        alt="The can's floor as it is to be filled.",
    )  # fmt: skip
    st.caption("The can's floor, filled: heel on the left, spine side above.")
    use, keep = st.columns(2)
    use.button("Use this layout in the job", key="use_layout", on_click=use_pattern, args=(table, laid))
    keep.download_button(
        "Can pattern (PNG)", key="save_layout", on_click="ignore", mime="image/png", file_name="can_pattern.png",
        data=lambda: preview.png_bytes(layout.picture, layout.px_per_mm),
    )  # fmt: skip


def use_pattern(table: Table, filled: preview.Job) -> None:
    """Let the can on the page be filled as in ``filled``."""
    fresh = {**table, **filled.model_dump(mode="json", exclude_none=True, include={"pattern", "powders"})}
    open_table({**fresh, "folder": filled.folder})


# --- dividers: out to the printer, and in from elsewhere ---------------------------------------------------


def show_dividers(job: preview.Job, table: Table) -> None:
    first, second, third, fourth = st.columns(4)
    asked = {
        "bead": first.number_input("Bead, mm", 0.1, 3.0, 0.4, 0.05, format="%g", key="bead", help="Width of a wall."),
        "tolerance": second.number_input(
            "Smoothing, mm", 0.01, 1.0, 0.1, 0.05, format="%g", key="tolerance", help="How far a wall may stray."
        ),
        "bed": (
            third.number_input("Bed width, mm", 10.0, 2000.0, 220.0, 10.0, format="%g", key="bed_width"),
            fourth.number_input("Bed depth, mm", 10.0, 2000.0, 220.0, 10.0, format="%g", key="bed_depth"),
            1000.0,
        ),
    }
    try:
        found = preview.dividers_of(job, preview.make_printing(asked))
    except preview.PreviewError as error:
        st.error(as_lines(str(error)))
    else:
        drawing = preview.svg_text(found)
        st.image(
            data_url(drawing.encode(), "svg+xml"), width="stretch",
            alt=f"{len(found.parts)} dividers, each with its number, in the can's outline.",
        )  # fmt: skip
        st.caption(
            f"{len(found.parts)} parts, {found.height:g} mm tall; their walls are {found.share:.1%} of the can, void "
            "once they burn out."
        )
        st.markdown(as_lines("\n".join(preview.trouble_lines(found))))
        files = preview.printable_files(found)
        for column, (name, content) in zip(st.columns(len(files)), files.items(), strict=True):
            column.download_button(
                name.rpartition(".")[2].upper(), key=f"save_{name}", on_click="ignore", file_name=name, data=content,
                width="stretch",
            )  # fmt: skip
    st.caption(preview.CAUTIONS[0])
    with st.expander("Dividers you have drawn already"):
        own_dividers(job, table)


def own_dividers(job: preview.Job, table: Table) -> None:
    drawing = st.file_uploader("Solid or drawing of them", type=["stl", "3mf", "svg", "dxf"], key="own_dividers")
    unit, cut = st.columns(2)
    in_unit = unit.selectbox("Unit, where the file states none", ["mm", "inch"], key="own_unit")
    height = cut.number_input(
        "Cut a solid at, mm over its foot",
        value=None,
        min_value=0.0,
        format="%g",
        placeholder="half way",
        key="own_cut",
    )
    if drawing is None:
        return
    try:
        regions = preview.read_regions(saved(drawing), job.pattern_area, unit=in_unit, height=height)
    except preview.PreviewError as error:
        st.error(as_lines(str(error), hide=str(upload_folder())))
        return
    powders = [powder.name for powder in job.powders]
    numbers = range(1, len(regions.polygons) + 1)
    for name in powders[1:]:
        st.multiselect(f"Regions of {name}", numbers, key=f"fill_{name}", help="All others hold the first powder.")
    assigned = {
        number: name for name in powders[1:] for number in st.session_state[f"fill_{name}"] if number in numbers
    }
    px_per_mm = 1000 / job.pattern_area[0]
    picture = preview.numbered_picture(regions, job.powders, assigned, px_per_mm)
    picture_spot(
        preview.jpeg_bytes(picture), "The can, its regions numbered. Choose one to change its powder.", "regions",
        lambda right, down: next_powder(regions, powders, right, down),
    )  # fmt: skip
    st.caption(f"Click a region to change its powder, or list the numbers. {' '.join(regions.notes)}")
    if st.button("Fill the can so", key="use_regions"):
        content = preview.fill_regions(regions, job.powders, assigned)
        name = f"own_{st.session_state.opened}.png"
        (upload_folder() / name).write_bytes(preview.png_bytes(content, content.shape[1] / job.pattern_area[0]))
        use_pattern(table, preview.filled_job(job, name).model_copy(update={"folder": upload_folder()}))
        st.rerun()


def next_powder(regions: preview.Regions, powders: list[str], right: float, down: float) -> None:
    """Give the region at a spot of the picture (shares of its sides) the next powder."""
    width, height = regions.room
    number = preview.region_at(regions, (right - 0.5) * width, (0.5 - down) * height)
    lists = {name: list(st.session_state.get(f"fill_{name}", [])) for name in powders[1:]}
    held = next((name for name, numbers in lists.items() if number in numbers), powders[0])
    following = powders[(powders.index(held) + 1) % len(powders)]
    if held in lists:
        lists[held].remove(number)
    if following in lists:
        lists[following].append(number)
    for name, numbers in lists.items():
        st.session_state[f"fill_{name}"] = numbers


SPOT = st.components.v2.component(
    "picture_spot",
    html='<div class="frame"><img tabindex="0" role="button"><span class="mark"></span></div>',
    css="""
.frame { position: relative; display: inline-block; line-height: 0; max-width: 100%; }
img { max-width: 100%; cursor: crosshair; }
img:focus-visible { outline: 3px solid var(--st-primary-color); }
.mark { position: absolute; width: 14px; height: 14px; margin: -7px 0 0 -7px; border: 2px solid #ff7a2f;
  border-radius: 50%; box-sizing: border-box; pointer-events: none; display: none; }
""",
    js="""
export default function({ data, parentElement, setTriggerValue }) {
  const image = parentElement.querySelector("img"), mark = parentElement.querySelector(".mark");
  image.src = data.url;
  image.alt = data.alt;
  image.setAttribute("aria-label", data.alt + " Arrow keys move the mark, Enter chooses.");
  const show = (x, y) => {
    mark.style.display = "block";
    mark.style.left = 100 * x + "%";
    mark.style.top = 100 * y + "%";
    image.spot = [x, y];
  };
  image.onclick = (event) => {
    const box = image.getBoundingClientRect();
    show((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
    setTriggerValue("spot", image.spot);
  };
  image.onkeydown = (event) => {
    const steps = { ArrowLeft: [-0.01, 0], ArrowRight: [0.01, 0], ArrowUp: [0, -0.02], ArrowDown: [0, 0.02] };
    const [x, y] = image.spot || [0.5, 0.5];
    if (event.key in steps) {
      event.preventDefault();
      show(Math.min(1, Math.max(0, x + steps[event.key][0])), Math.min(1, Math.max(0, y + steps[event.key][1])));
    } else if (event.key === "Enter") {
      show(x, y);
      setTriggerValue("spot", image.spot);
    }
  };
}
""",
)


def picture_spot(picture: bytes, alt: str, key: str, chosen: Callable[[float, float], None]) -> None:
    """Show a JPEG and call ``chosen`` with the spot that was clicked on it, in shares of its width and height."""

    def told() -> None:
        spot = st.session_state[key].get("spot")
        if spot:
            chosen(*spot)

    SPOT(data={"url": data_url(picture, "jpeg"), "alt": alt}, key=key, on_spot_change=told)


# --- powder and bar ----------------------------------------------------------------------------------------


def show_budget(job: preview.Job) -> None:
    first, second, third = st.columns(3)
    margin = first.number_input("Bar beyond each end, mm", 0.0, 200.0, 10.0, 1.0, format="%g", key="margin")
    read_at = second.number_input("Caliper read at, °C", 20.0, 1300.0, 1000.0, 50.0, format="%g", key="read_at")
    bead = third.number_input(
        "Dividers' walls, mm", 0.0, 3.0, 0.4, 0.05, format="%g", key="wall_bead",
        help="0 where the dividers are drawn out again before the can is closed.",
    )  # fmt: skip
    found = preview.weigh(job, bead=bead, margin=margin, read_at=read_at)
    if found.notes:
        st.warning(as_lines("\n".join(found.notes)))
    heads = ("powder", "floor without dividers", "tapped to", "fill")
    st.table(columns_of(heads, preview.fill_rows(found)))
    heads = ("step", "cold, mm", f"at {read_at:g} °C, mm", "bar", "losses")
    st.table(columns_of(heads, preview.stage_rows(found)))
    st.table({"": dict(preview.budget_lines(found))})
    st.download_button(
        "Budget (text)", key="save_budget", on_click="ignore", mime="text/plain", file_name="budget.txt",
        data=lambda: preview.whole_budget(job, found),
    )  # fmt: skip
    st.caption(" ".join(preview.CAUTIONS[:3]))


def columns_of(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> Table:
    return dict(zip(heads, map(list, zip(*rows, strict=True)), strict=True))


READINGS = {
    "thickness_before": ("thick before", "Thickness before the pass, mm. Needed."),
    "thickness_after": ("thick after", "Thickness after the pass, mm. Needed."),
    "bite": ("bite", "Bite of the die, mm. Needed."),
    "width_face_before": ("face before", "Width where the dies touch, before, mm."),
    "width_face_after": ("face after", "Width where the dies touch, after, mm."),
    "width_mid_before": ("mid before", "Width at mid-height, before, mm."),
    "width_mid_after": ("mid after", "Width at mid-height, after, mm."),
    "length_before": ("long before", "Length before, mm."),
    "length_after": ("long after", "Length after, mm."),
    "temperature": ("°C", "Temperature of the steel, if the sizes were read hot."),
}


def show_forge(job: preview.Job, table: Table) -> None:
    if job.forge:
        st.success(
            f"This job is calibrated ({job.forge.date or 'no date'}, {job.forge.rows} rows): spread "
            f"{job.forge.spread_factor:.2f} ± {job.forge.spread_factor_error:.2f} of the law's, friction factor "
            f"{job.forge.friction:.2f} ± {job.forge.friction_error:.2f}."
        )
    st.markdown("**Caliper readings**, a row for each pass: type them in, or paste them from a spreadsheet")
    st.caption(
        "Millimetres, before and after. Thickness and bite are needed, and a width before; leave the rest empty where "
        "it was not read. Width at the face is where the dies touch. Sizes read hot need the steel's temperature, °C."
    )
    with st.form("readings_form", border=False):
        typed = st.data_editor(
            {name: [None] * 4 for name in READINGS},
            column_config={
                name: st.column_config.NumberColumn(label, help=words, min_value=0.0, format="%g")
                for name, (label, words) in READINGS.items()
            },
            num_rows="dynamic", hide_index=True, key="readings", width="stretch",
        )  # fmt: skip
        st.form_submit_button("Fit these readings", key="fit_readings")
    rows = [dict(zip(typed, cells, strict=True)) for cells in zip(*typed.values(), strict=True)]
    rows = [row for row in rows if any(cell is not None and cell == cell for cell in row.values())]
    left, right = st.columns(2)
    coupon = left.file_uploader("Photo of an etched coupon", type=["png", "jpg", "jpeg", "webp", "tif"], key="coupon")
    marks = right.file_uploader(
        "Marks on an etched section or face (CSV)", type=["csv"], key="marks",
        help="Section: columns x, y (mm across and through), can_across, can_up (mm, where they were laid). "
        "Face: x, y (mm along and across), can_along, can_across.",
    )  # fmt: skip
    boxes, ruler = {}, None
    with st.expander("Regions of the coupon, and a ruler for the marks"):
        st.caption(
            "Regions in shares of the photo's sides: left, top, right, bottom, such as 0.1, 0.2, 0.3, 0.4. Left empty, "
            "the photo is split in two by its tones. The card is a grey card (L* 50)."
        )
        for column, zone in zip(st.columns(3), ("bright", "dark", "card"), strict=True):
            text = column.text_input(f"{zone.capitalize()} region", key=f"region_{zone}")
            if text.strip():
                boxes[zone] = text
        ruler = st.file_uploader(
            "Points of known place on the marks' photo (CSV)", type=["csv"], key="ruler",
            help="Columns x, y (photo pixels), across, through (mm). The marks' x and y are then pixels.",
        )  # fmt: skip
    if not rows and coupon is None and marks is None:
        st.info("With a few readings the picture becomes that of your forge, and says how sure it is.")
        return
    try:
        learnt = preview.learn(
            job,
            readings=rows or None,
            marks=saved(marks),
            ruler=saved(ruler),
            coupon=saved(coupon),
            boxes={zone: preview.parse_box(text) for zone, text in boxes.items()},
            date=date.today().isoformat(),
        )
    except preview.PreviewError as error:
        st.error(as_lines(str(error), hide=str(upload_folder())))
        return
    st.markdown(as_lines("\n".join(learnt.words)))
    if learnt.fit:
        st.image(
            data_url(preview.residual_plot(learnt.fit), "png"), width="stretch", alt="Residuals of the fit by row."
        )
    use, keep = st.columns(2)
    use.button("Use it in this job", key="use_forge", on_click=use_forge, args=(table, learnt.calibration))
    keep.download_button(
        "Calibration file (TOML)", key="save_forge", on_click="ignore", mime="application/toml", file_name="forge.toml",
        data=lambda: preview.dump_calibration(learnt.calibration),
    )  # fmt: skip


def use_forge(table: Table, calibration: preview.Calibration) -> None:
    """Let the job on the page be forged and etched as measured."""
    table["forge"], table["calibration"] = calibration, "forge.toml"


@st.fragment
def bench() -> None:
    """Controls at the side, the blade beside them: one run for each move."""
    table = st.session_state.table
    with st.sidebar:
        for title, controls, opened in GROUPS:
            with st.expander(title, expanded=opened):
                controls(table)
    trouble = ""
    try:
        st.session_state.good = job = preview.make_job(table)
    except preview.PreviewError as error:
        trouble, job = str(error), st.session_state.good
    if job.title:
        st.subheader(job.title, anchor=False)
    if trouble:
        st.error(f"{as_lines(trouble)}\n\nThe picture is the last one that could be made.")
    with st.container(key="faces"):
        shown = show_faces(job)
    # the picture is on its way to the screen before the numbers are worked out
    if shown.numbers.notes:
        st.warning(as_lines("\n".join(shown.numbers.notes)))
    # only the open tab is worked out
    names = (
        "Cross-section",
        "Numbers",
        "Wanted picture",
        "Dividers",
        "Powder and bar",
        "How sure",
        "Your forge",
        "Save",
        "Cautions",
    )
    section, numbers, layout, walls, budget, sure, forge, saving, care = st.tabs(names, on_change="rerun", key="below")
    if section.open:
        with section:
            show_section(job)
    if numbers.open:
        with numbers:
            show_numbers(shown)
    if layout.open:
        with layout:
            show_layout(job, table)
    if walls.open:
        with walls:
            show_dividers(job, table)
    if budget.open:
        with budget:
            show_budget(job)
    if sure.open:
        with sure:
            show_likely(job)
    if forge.open:
        with forge:
            show_forge(job, table)
    if saving.open:
        with saving:
            show_saving(job, shown)
    if care.open:
        with care:
            st.markdown(as_lines("\n".join(preview.CAUTIONS)))


def main() -> None:
    st.set_page_config(page_title="Etch-contrast preview", page_icon="⚒", layout="wide")
    st.html(STYLE.replace("BACKGROUND", "#171614" if st.context.theme.type == "dark" else "#ffffff"))
    with st.sidebar:
        start_controls()
    bench()


main()
