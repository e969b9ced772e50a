"""Look before you cut, on the page: a photograph of the real bar or blade puts the preview right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

import preview
from preview.page.asking import Table, key, units
from preview.page.matching_marks import Side
from preview.page.matching_photo import Asked, ask_photo
from preview.page.session import open_table, table_of
from preview.page.showing import BLADE_AT_REST, SMALLER_BLADE, columns_of, data_url, plain, wipe
from preview.page.telling import told
from preview.page.working import working

HOW = (
    "The saw is one-way. Before you cut, mill the bar flat, etch it lightly and take a photograph of it: the page "
    "finds where the pattern really lies, and shows your blade so from then on. Take it squarely from above, from "
    "60 cm or more, the edge down, on plain grey cloth, in even light, fingers off, both ends free. A card or a ruler "
    "that lies flat beside it tells how the camera was held. A photograph of the finished blade does as well."
)

REFUSED = (
    "Look below whether the photograph is laid straight: if not, put the rings on the corners of the steel and lay it "
    "anew. Look too whether it shows what you say, and that face, and whether this work is what was in the can."
)

OTHER: dict[Side, Side] = {"right": "left", "left": "right"}

OUTLINES = "Blue: the pattern as it was shown. Red: as it lies by this photograph."


@dataclass(frozen=True, eq=False)
class Laid:
    """A photograph that was laid on the work.

    Parameters
    ----------
    of
        The work, without what does not count, the photograph, and that of the other face that was put together with it.
    found
        What it showed, as the work may keep it; None where it is not taken.
    words, heed
        Why it is taken or not and what it taught; what to heed before it is used.
    pictures
        What is shown of it.
    bands
        How far the pattern may lie off before and with it, at heel, middle and tip; None where it is not taken.
    """

    of: tuple[preview.Job, Asked, Asked | None]
    found: preview.Job | None
    words: tuple[Any, ...]
    heed: Any | None
    pictures: preview.MatchPictures
    bands: tuple[Any, Any] | None


def show_matching(job: preview.Job, table: Table) -> None:
    """Ask for a photograph, lay it on the work, and let the work go by it or forget it."""
    for style in (SMALLER_BLADE, BLADE_AT_REST):
        st.html(style)
    st.caption("The blade above scrolls away here, so that the photograph has the room: it changes once that is used.")
    in_use(job, table)
    asked = ask_photo(job, HOW)
    if asked is None:
        return
    other = ask_other(job, asked)
    if st.button("Lay it on my work", key="lay_photo", type="primary", disabled=not asked.placed):
        st.session_state.pop("laid_photo", None)
        try:
            with working("Laying the photograph on your work"):
                st.session_state.laid_photo = lay(job, asked, other)
        except preview.PreviewError as error:
            st.error(told(error))
    laid: Laid | None = st.session_state.get("laid_photo")
    if laid is None:
        return
    current = laid.of == (_aside(job), asked, other)
    if not current:
        st.warning("Something has changed since it was laid on your work: lay it anew.")
    show_laid(job, laid, current=current)


def in_use(job: preview.Job, table: Table) -> None:
    """Say that the work goes by a photograph, where it does, with a way to forget that."""
    if job.found is None:
        return
    words, button = st.columns([5, 2], vertical_alignment="center")
    words.success(
        f"Your work goes by a photograph of the {job.found.of}: the picture above, trials, likely looks and sheets "
        f"show the pattern where that has it. It may still lie {units().length(job.found.off, form='.1f')} off, four "
        "times of five and over the whole face."
        + ("" if job.found.forged else " That it is of this laying and forging was not noted then: lay it anew.")
    )
    button.button("Forget it", key="forget_photo", on_click=forget, args=(table,), width="stretch")
    if job.found.of == "bar":
        words, button = st.columns([5, 2], vertical_alignment="center")
        words.markdown("Next, before the saw: find the place in this bar where the blade's motif comes out whole.")
        button.button("Where to cut", key="to_cutting", on_click=go_to_cutting, type="primary", width="stretch")


def go_to_cutting() -> None:
    """Open the panel that finds where in the bar to cut, beside this one."""
    st.session_state["Try grinds"] = "Where to cut"


def offer_to_forget(table: Table, error: preview.PreviewError | None) -> None:
    """Offer to forget the photograph where the work is no longer that of its bar."""
    if any(fault.where == "seen" for fault in getattr(error, "faults", ())):
        st.button("Forget the photograph", key="forget_other_bar", on_click=forget, args=(table,))


def forget(table: Table) -> None:
    """Let the work on the page go by no photograph; a change like any other."""
    open_table({name: value for name, value in table.items() if name not in ("seen", "found")})


def _aside(job: preview.Job) -> preview.Job:
    """Return ``job`` without what is the same to a photograph."""
    return job.unseen.model_copy(update={"light": preview.Job.part("light")(), "title": ""})


def ask_other(job: preview.Job, asked: Asked) -> Asked | None:
    """Ask whether a photograph of the other face, which was laid on the work before, is put together with this one."""
    of, other = st.session_state.get("faces_laid", {}).get(OTHER[asked.side], (None, None))
    if other is None or of != _aside(job) or other.of != asked.of:
        return None
    words = f"Together with the photograph of the {other.side} face that was laid before: one steel, seen twice"
    return other if st.checkbox(words, value=True, key="both_faces") else None


def lay(job: preview.Job, asked: Asked, other: Asked | None) -> Laid:
    """Return a photograph laid on ``job``, together with that of the ``other`` face where there is one."""
    of = (_aside(job), asked, other)
    match = _match(job, asked)
    if match.verdict.taken:
        st.session_state.setdefault("faces_laid", {})[asked.side] = of[:2]
        if other is not None:
            match, _ = preview.match_both(match, _match(job, other))
    words = (*match.verdict.words, *filter(None, [match.beside]), match.camera, *match.learnt)
    pictures = preview.match_pictures(match, units())
    if match.seen is None:
        return Laid(of, None, words, None, pictures, None)
    found = preview.seen_job(job, match)
    heed = None if job.found is None else preview.contradiction(job.found, match.seen)
    without = job.unseen
    before, with_it = (
        preview.likely(each, width=400, looks=False, chances=False).bands for each in (without, found)
    )  # fmt: skip
    return Laid(of, found, words, heed, pictures, (before, with_it))


def _match(job: preview.Job, asked: Asked) -> Any:
    return preview.match(job, asked.path, asked.side, of=asked.of, **asked.given)


def show_laid(job: preview.Job, laid: Laid, *, current: bool) -> None:
    """Show what a photograph showed; ``current`` says whether it may be used."""
    chosen = units()
    words = "\n\n".join(plain(each.told(chosen)) for each in laid.words)
    if laid.found is None:
        st.warning(f"**This photograph is not taken, and nothing is changed.** {words}\n\n{REFUSED}")
    else:
        st.success(f"**This is your steel.** {words}")
    if laid.heed is not None:
        st.warning(plain(laid.heed.told(chosen)))
    if laid.found is not None and current:
        use_it(job, laid.found)
    pictures = laid.pictures
    names = {"As it was shown": pictures.before}
    if laid.found is not None:
        names = {"With what was seen": pictures.after, **names}
    under = st.segmented_control("Beside the photograph", list(names), default=next(iter(names)), key=key("beside"))
    name = under or next(iter(names))
    wipe((pictures.photo, names[name]), ("The photograph", name), f"wipe {name}")
    if laid.found is None:
        return
    st.image(
        data_url(pictures.outlines, "jpeg"), width="stretch",
        alt="The photograph laid straight, with the pattern's outlines in blue and red.",
    )  # fmt: skip
    st.caption(OUTLINES)
    st.image(data_url(pictures.unsure, "png"), alt="How far the pattern may still lie off, over the face.")
    if laid.bands is not None:
        show_bands(*laid.bands, laid.of[1].of)


def use_it(job: preview.Job, found: preview.Job) -> None:
    """Offer to let the work go by a photograph."""
    if job.found == found.found:
        st.markdown("**Your work goes by this photograph.**")
    else:
        label = "Use what was seen" if job.found is None else "Use this in place of the one before"
        st.button(label, key="use_photo", on_click=use, args=(job, found))


def use(job: preview.Job, found: preview.Job) -> None:
    """Let the page go on with the pattern where the photograph has it; a change like any other."""
    open_table(table_of(job.model_copy(update={"seen": found.seen, "found": found.found})))


def show_bands(before: Any, with_it: Any, of: str) -> None:
    """Show how far the pattern may lie off before and with a photograph."""
    chosen = units()
    heads = ("at the", "heel to tip, before", "with it", "edge to spine, before", "with it ")
    rows = [
        (one.place, *(chosen.number(each.reach[way], form=".1f") for way in (0, 1) for each in (one, other)))
        for one, other in zip(before, with_it, strict=True)
    ]
    st.markdown(f"**How far the pattern may lie off**, {chosen.name('mm')}, four times of five")
    st.table(columns_of(heads, rows))
    if of == "bar":
        st.caption('Give the size that you measured under "Where to cut", beside this.')
