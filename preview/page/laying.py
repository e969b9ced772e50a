"""What is laid in the can: the pattern itself, or what makes a wanted picture show on the finished blade."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import streamlit as st

import preview
from preview.page.asking import Table, key, units
from preview.page.field_controls import ask_fields
from preview.page.looking import show_faces, words_of
from preview.page.placing import Frame, Place, Placing, kept_inside
from preview.page.session import folder, open_table, saved, use_pattern
from preview.page.showing import SMALLER_BLADE, as_lines, data_url
from preview.page.starting import PATTERNS
from preview.page.telling import told
from preview.page.working import working

FACES: tuple[Literal["right", "left", "both"], ...] = ("right", "left", "both")


@dataclass(frozen=True, eq=False)
class Open:
    """A layout that is looked at and not yet the job's: what was found, for which picture and job, and its job."""

    layout: preview.Layout
    wanted: preview.Wanted
    of: preview.Job
    laid: preview.Job


def open_layout(job: preview.Job) -> Open | None:
    """Return the layout that is open, as etched and lit as ``job``; None where it was made for another blade."""
    opened: Open | None = st.session_state.get("layout")
    if opened is None or any(
        getattr(opened.of, part) != getattr(job, part) for part in ("history", "blade", "grind", "powders")
    ):
        return None
    looks = {part: getattr(job, part) for part in ("title", "etch", "light", "unsure")}
    return replace(opened, laid=opened.laid.model_copy(update=looks))


def blade_in_sight(job: preview.Job) -> preview.Job:
    """Return the job whose blade stands at the top of the page: the open layout's, else the visitor's own."""
    opened = open_layout(job)
    return opened.laid if opened else job


def use_layout(table: Table, laid: preview.Job) -> None:
    put_away()
    use_pattern(table, laid)


def put_away() -> None:
    st.session_state.pop("layout", None)


@dataclass(frozen=True)
class OnBoth:
    """One face in the picture of both, the right one above."""

    face: Frame
    below: bool

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the picture of both, mm."""
        width, height = self.face.size
        return width, 2 * height

    @property
    def span(self) -> tuple[float, float]:
        """Where the face begins and ends, downwards, in shares of the picture's height."""
        return self.below / 2, (1 + self.below) / 2

    def to_picture(self, along: float, across: float) -> tuple[float, float]:
        """Return where a place of the blade (mm) lies on the picture, in shares of its sides."""
        right, down = self.face.to_picture(along, across)
        return right, (down + self.below) / 2

    def from_picture(self, right: float, down: float) -> tuple[float, float]:
        """Return the place of the blade (mm) at shares of the picture's sides."""
        return self.face.from_picture(right, 2 * down - self.below)


@dataclass(frozen=True)
class Art:
    """A wanted picture that was chosen: its file, how it is read, whether swapped, its face, its placing."""

    path: Path
    read: preview.WantedPicture
    swap: bool
    face: str
    frame: OnBoth
    placing: Placing

    @property
    def values(self) -> Table:
        """What a wanted picture is made from."""
        place = self.placing.stands()
        return {
            "picture": self.path, "face": self.face, "at": place.at, "size": place.width, "turn": place.turn,
            "swap": self.swap,
        }  # fmt: skip


def chosen_art(job: preview.Job) -> Art | None:
    """Return the wanted picture that was chosen, and where it stands; None where there is none.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    upload, face = st.session_state.get("wanted"), st.session_state.get("wanted_face", FACES[0])
    if upload is None:
        return None
    path, below = saved(upload), face == "left"
    swap = bool(asked_of_wanted().get("swap"))
    read = preview.see_wanted(job, preview.make_settings(preview.Wanted, {"picture": path, "swap": swap}, "wanted"))
    if (
        st.session_state.get("wanted_place", (None, None))[0] != upload.file_id
    ):  # a new one: in mid-blade, as large as fits
        outline = job.blade.outline
        width, _ = preview.round_down(preview.fitted_size((read.wide, 1), (outline.length, outline.height)))
        middle = (round(outline.length / 2, 1), round(outline.height / 2, 1))
        st.session_state.wanted_place = (upload.file_id, Place(middle, width, 0.0))

    def stands() -> Place:
        place: Place = st.session_state.wanted_place[1]
        return place

    def moved(place: Place) -> None:
        st.session_state.wanted_place = (upload.file_id, place)

    frame = OnBoth(preview.preview(job).view("left" if below else "right"), below)
    labels = ("Its middle from the heel", "Its middle over the edge line")
    return Art(path, read, swap, face, frame, Placing("wanted place", stands, moved, frame, labels))


def asked_of_wanted() -> Table:
    """Return what is asked of any wanted picture, beside its file, face and place."""
    asked: Table = st.session_state.setdefault("wanted_asked", {})
    switch = key("wanted", "swap")
    if switch in st.session_state:  # set before the page runs, and the blade at its top is to show it
        asked["swap"] = st.session_state[switch]
    return asked


def show_blade(place: Any, board: Any, job: preview.Job, table: Table, *, wanting: bool) -> None:
    """Show the blade at the top of the page: in ``place``, or in ``board`` with the wanted picture over it."""
    seen, opened, art = blade_in_sight(job), open_layout(job), None
    if wanting:
        with contextlib.suppress(preview.PreviewError):  # told where it is chosen
            art = chosen_art(job)
    if art is None:
        show_faces(place, seen)
    with board:
        if art is not None:
            place.empty()
            picture = preview.jpeg_bytes(preview.preview(seen).picture)
            art.placing.on_picture(
                (picture, art.read.picture), (words_of(seen), "the wanted picture"), art.read.wide,
                span=art.frame.span, strength=0 if opened and shows(opened, art) else 70,
            )  # fmt: skip
        if opened is not None:
            show_open_layout(opened, table)


def shows(opened: Open, art: Art) -> bool:
    """Return whether a layout is that of the wanted picture as it stands."""
    return opened.wanted == preview.make_settings(preview.Wanted, art.values, "wanted")


def show_open_layout(opened: Open, table: Table) -> None:
    """Say of an open layout that it is one, and let it be used or put away."""
    with st.container(horizontal=True, vertical_alignment="center", key="open_layout"):
        st.markdown("**This is the layout, not yet your work.**", width="content")
        st.button("Use this layout", key="use_layout", on_click=use_layout, args=(table, opened.laid))
        st.button("Put it away", key="drop_layout", on_click=put_away)


def show_layout(job: preview.Job) -> None:
    st.markdown("**A picture that is to stand on the finished blade**, carried back to what to lay in the can")
    choosing, facing = st.columns([3, 1])
    choosing.file_uploader(
        "Wanted picture", type=PATTERNS, key="wanted",
        help="White where the nickel steel is to show, black where the plain one is, or your powders' colours. A "
        "picture, or a drawing of filled shapes (SVG, DXF).",
    )  # fmt: skip
    facing.selectbox("On the face", FACES, key="wanted_face")
    with facing:
        ask_fields(asked_of_wanted(), preview.Wanted, ("wanted",))
    try:
        art = chosen_art(job)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    opened = open_layout(job)
    if art is None:
        st.info("Choose a picture. On both faces it stands upright on the right one, mirrored on the left.")
    else:
        art.placing.by_numbers()
        if opened is None or not shows(opened, art):  # else it stands among the layout's own
            for note in art.read.notes:
                st.warning(note.told(units()))
        if st.button("Lay it out", key="lay_out", type="primary"):
            lay_it_out(job, art.values)
        if opened is not None and not shows(opened, art):
            st.warning("The picture has been moved or swapped since it was laid out: lay it out again.")
    if opened is not None:
        show_found(opened)
    elif "layout" in st.session_state:
        st.warning("The forging, the blade or the grind has changed since: lay it out again.")


def show_found(opened: Open) -> None:
    """Tell how well a layout shows the wanted picture, and show the can as it is to be filled."""
    layout, laid, wanted = opened.layout, opened.laid, opened.wanted
    words = [f"{s.capitalize()} face: {preview.agreement_of(laid, wanted, s).words(units())}." for s in wanted.sides]
    st.markdown(as_lines("\n".join([*words, *(note.told(units()) for note in layout.notes)])))
    st.image(
        data_url(preview.png_bytes(layout.marked, layout.px_per_mm), "png"), width="stretch",
        alt="The can's floor as it is to be filled.",
    )  # fmt: skip
    st.caption(
        "The can's floor, filled: heel on the left, spine side above. Orange: what the two faces ask differently."
    )
    st.download_button(
        "Can pattern (PNG)", key="save_layout", on_click="ignore", mime="image/png", file_name="can_pattern.png",
        data=lambda: preview.png_bytes(layout.picture, layout.px_per_mm),
    )  # fmt: skip


def lay_it_out(job: preview.Job, values: Table) -> None:
    """Open the layout of a wanted picture; its blade takes the place at the top of the page."""
    put_away()
    try:
        with working("Following every column of the can to the face"):
            wanted = preview.make_settings(preview.Wanted, values, "wanted")
            layout = preview.lay_out(job, wanted)
            st.session_state.layout = Open(layout, wanted, job, preview.laid_out(layout, preview.new_draft(folder())))
    except preview.PreviewError as error:
        st.error(told(error))
        return
    st.rerun()


def show_laying(job: preview.Job, table: Table) -> None:
    """Let the job's own pattern be placed in the can."""
    if open_layout(job) is not None:
        st.info("The blade above is that of a layout. Use it, or put it away, before you lay your own pattern.")
        return
    pattern: Table = table["pattern"]
    st.markdown("**Your pattern as it lies in the can**, as the dividers see it; the blade above follows")
    room = job.pattern_area
    try:
        drawing, own_wide = preview.screen_picture(job.picture_path, job.powders, room)
        own = preview.own_size(job)
    except preview.PreviewError as error:
        st.error(told(error))
        return
    shown = preview.preview(job)
    usual = own or room  # where the pattern gives no size
    width, height = pattern.get("size") or usual
    wide = width / height

    def stands() -> Place:
        return Place(tuple(pattern["at"]), (pattern.get("size") or usual)[0], pattern["turn"])

    def lay(place: Place) -> None:
        pattern.update(size=(place.width, place.width / wide), at=place.at, turn=place.turn)

    view = shown.spots.can_view
    labels = ("Its middle beside the can's", "Its middle above the can's")
    placing = Placing("can place", stands, lay, view, labels, lambda place: kept_inside(place, wide, room))
    st.html(SMALLER_BLADE)
    placing.on_picture(
        (preview.jpeg_bytes(shown.spots.can_picture()), drawing), ("The can.", "your pattern"), wide, most=30
    )
    placing.by_numbers()

    def fit() -> None:
        pattern.update(size=preview.round_down(preview.fitted_size((own_wide, 1), room)), at=(0.0, 0.0), turn=0.0)
        open_table(table)

    def as_usual() -> None:
        pattern.pop("size", None)
        pattern.update(at=(0.0, 0.0), turn=0.0)
        open_table(table)

    with st.container(horizontal=True):
        st.button("As large as fits, in its own proportions", key="fit_in_can", on_click=fit)
        st.button(
            "At its own size" if own else "Stretched over the whole can", key="usual_in_can", on_click=as_usual,
            help=f"The drawing is {units().length(*own, form='.4g')}." if own else None,
            disabled=own is not None and preview.fitted_size(own, room) < own,
        )  # fmt: skip
