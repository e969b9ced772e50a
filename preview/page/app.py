"""The page: widgets only. What they say becomes a job; what the job gives is shown."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping

import streamlit as st

import preview
from preview.page.advising import show_advice
from preview.page.asking import Table, units
from preview.page.blade_log import show_log
from preview.page.boxes import all_arrived
from preview.page.checking import headline, judge, look_over
from preview.page.client_view import CLIENT, show_client_view, way_to_client_view
from preview.page.close_look import close_look
from preview.page.controls import GROUPS, grind_controls
from preview.page.cutting import show_cutting
from preview.page.day import show_day
from preview.page.dress import dress, frame_faces
from preview.page.filling import show_budget, show_dividers
from preview.page.following import follow_sliders
from preview.page.forge import show_forge
from preview.page.grinding import show_trials
from preview.page.handing_over import show_cautions, show_saving, show_sheets
from preview.page.laying import blade_in_sight, show_blade, show_laying, show_layout
from preview.page.looking import quick_look, show_likely, show_numbers, show_section, show_spots, show_steps
from preview.page.matching import offer_to_forget, show_matching
from preview.page.memory import share_pools
from preview.page.nets import hide_links, last_net
from preview.page.noting import mark_place, show_notes, show_way
from preview.page.profile import show_profile
from preview.page.remarks import remark
from preview.page.remembering import remember_work
from preview.page.session import called, give_picture, go_to, shelf, show_kept, start_session, take
from preview.page.showing import plain
from preview.page.sketching import show_sketch
from preview.page.starting import invite, start_controls
from preview.page.telling import PARTS_OF, TITLES, told
from preview.page.turning import show_turning
from preview.page.turns import begin_run, in_turn
from preview.page.typed_numbers import hear_numbers
from preview.page.work import LOOKING, work_line
from preview.page.working import stop_button
from preview.page.years import show_years

Panel = Callable[[preview.Job, preview.Preview, Table], None]

# what there is below the blade; only what is open is worked out
PANELS: Mapping[str, Mapping[str, Panel]] = {
    "Look closer": {
        "Cross-section": lambda job, shown, table: show_section(shown),
        "In the hand": lambda job, shown, table: show_turning(job),
        "After years": lambda job, shown, table: show_years(job),
        "Numbers": lambda job, shown, table: show_numbers(shown),
        "Step by step": lambda job, shown, table: show_steps(shown),
        "Where it lay": lambda job, shown, table: show_spots(shown),
        "Likely looks": lambda job, shown, table: show_likely(job),
    },
    "Try grinds": {
        "Grinds": lambda job, shown, table: show_trials(job, table),
        "Where to cut": lambda job, shown, table: show_cutting(job),
        "Look before you cut": lambda job, shown, table: show_matching(job, table),
    },
    "Your drawings": {
        "Sketch": lambda job, shown, table: show_sketch(job),
        "Blade profile": lambda job, shown, table: show_profile(job),
    },
    "Fill the can": {
        "Wanted picture": lambda job, shown, table: show_layout(job),
        "Lay it in the can": lambda job, shown, table: show_laying(job, table),
        "Dividers": lambda job, shown, table: show_dividers(job, table),
        "Powder and bar": lambda job, shown, table: show_budget(job),
    },
    "The day": {"": lambda job, shown, table: show_day(job)},
    "Your forge": {
        "Measured": lambda job, shown, table: show_forge(job, table),
        "Blade log": lambda job, shown, table: show_log(job, table),
    },
    "Hand over": {
        "Sheets": lambda job, shown, table: show_sheets(job, table),
        "Client's view": lambda job, shown, table: way_to_client_view(),
        "Save": lambda job, shown, table: show_saving(job, shown),
        "Cautions": lambda job, shown, table: show_cautions(),
    },
}


def show_panels(job: preview.Job, shown: preview.Preview, table: Table) -> None:
    for tab, (name, panels) in zip(st.tabs(list(PANELS), on_change="rerun", key="below"), PANELS.items(), strict=True):
        if not tab.open:
            continue
        with tab:
            if len(panels) == 1:
                panels[""](job, shown, table)
                continue
            for inner, panel in zip(st.tabs(list(panels), on_change="rerun", key=name), panels.values(), strict=True):
                if inner.open:
                    with inner:
                        panel(job, shown, table)


def panel_open() -> tuple[str, str]:
    """Return the names of the tabs that are open, the outer and the inner one."""
    outer = st.session_state.get("below", next(iter(PANELS)))
    return outer, st.session_state.get(outer, next(iter(PANELS[outer])))


@st.fragment
def bench() -> None:
    """The blade with its grind below it, the other controls at the side: one run for each move, the picture first."""
    with last_net():
        work_at_it()
        all_arrived()


def work_at_it() -> None:
    """Show what lies on the bench; see `bench`."""
    begin_run()
    table = st.session_state.table
    head = st.container(key="head")  # in a box of its own, so that the picture below it stays the same element
    stage = st.container(key="stage")
    faces = stage.container(key="faces")
    place = faces.container()
    wanting = panel_open() == ("Fill the can", "Wanted picture")
    found = look_over(table)
    if found.job and not (wanting and st.session_state.get("wanted")):
        with contextlib.suppress(preview.PreviewError):  # told below, once the controls have been made
            place = quick_look(place, blade_in_sight(found.job))
    frame, board = faces.container(), faces.container()  # not before the picture, which waits for whatever comes first
    way = faces.container(key="way")
    with stage.container(key="under"):
        said, back = st.container(key="said"), st.container(key="undoing", horizontal=True)
        close = st.container(key="close")
    grind = st.container(key="grind")
    with st.sidebar:
        for column, (name, label) in zip(st.columns(2), (("inches", "Inches"), ("fahrenheit", "°F")), strict=True):
            column.toggle(label, key=name)
        later = []
        for number, (controls, opened) in GROUPS.items():
            where = grind if controls is grind_controls else st
            group = where.expander(TITLES[number], expanded=opened, key=f"group {number}", on_change="rerun")
            if group.open:
                with group:
                    later.append(controls(table))
                    for part in PARTS_OF[number]:
                        remark((part,))
    made = judge(table)
    if made.trouble != found.trouble or (made.near and made.near.moved):
        st.rerun()  # a control has changed what the others are to say
    job = made.job or st.session_state.good
    if made.job:
        keep(job)
    with back:  # once it is known whether there is a change to take back
        undo_controls(trouble=made.error is not None)
    with head:
        invite()
        st.subheader(plain(job.title or called()), anchor=False)
        by_photo = "" if job.found is None else ", the pattern as your photograph has it"
        st.caption(f"Your work: {plain(called())}{by_photo}" if st.session_state.job else LOOKING)
    show_blade(place, board, job, table, wanting=wanting)
    with frame:
        frame_faces(blade_in_sight(job))
    with said:
        say(headline(made.error) if made.error else "")
        offer_to_forget(table, made.error)
    with close:
        close_look(blade_in_sight(job))
    shown = preview.preview(job, units=units())
    with in_turn():  # the picture is on its way to the screen before the numbers are worked out
        shown.numbers  # noqa: B018 - kept for all that is told below
    for show_rest in filter(None, later):
        show_rest(job)
    with contextlib.suppress(preview.PreviewError):  # a job taken away meanwhile needs no small picture
        give_picture(shown)
    with st.container():  # in a box of its own: what is below stays the same element, and keeps the keyboard
        mark_place()
        advice = show_advice(shown, trouble=made.error is not None)
        fresh = 0 if made.error else show_notes(shown)
    with way:
        show_way(fresh, advice)
    show_panels(job, shown, table)


def say(trouble: str) -> None:
    """Say below the blade what is wrong, or else what the picture is."""
    lost = st.session_state.pop("lost", "")
    if lost:
        st.warning(lost)
    moves: list[str] = st.session_state.get("moves", [])
    if trouble:
        st.error(trouble)
    elif moves:
        st.caption(" ".join(f"**{plain(each)}**" for each in moves))
    elif not lost:
        st.caption("Right face above, left face below. A likely look, not a promise: calibrate the tones on a coupon.")


def keep(job: preview.Job) -> None:
    """Keep a change at once; a demo that has become the visitor's own gets its name at the side."""
    try:
        became = take(job)
    except preview.PreviewError as error:
        st.session_state.lost = f"This change is not kept: {told(error)}"
    else:
        if became:
            st.rerun()


def undo_controls(*, trouble: bool) -> None:
    """Offer the way back over the open job's changes, and on again; from trouble to what is kept of it."""
    id, kept = st.session_state.job, shelf()
    before, after = (kept.before(id), kept.after(id)) if id and not trouble else (None, None)
    for label, state in (("Undo", before), ("Redo", after)):
        out = trouble and label == "Undo"
        st.button(
            label, key=label.lower(), icon=f":material/{label.lower()}:",
            on_click=show_kept if out else go_to, args=() if out else (state,), disabled=state is None and not out,
        )  # fmt: skip


def main() -> None:
    st.set_page_config(page_title="Etch-contrast preview", page_icon="⚒", layout="wide")
    hide_links()
    share_pools()
    with last_net():
        whole_page()


def whole_page() -> None:
    dress()
    start_session()
    if st.query_params.get("view") == CLIENT:
        show_client_view()
        return
    with st.sidebar:
        work_line()
        start_controls()
    remember_work()
    stop_button()
    bench()
    follow_sliders()
    hear_numbers()
