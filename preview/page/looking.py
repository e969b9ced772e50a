"""Looking closer: section, numbers, steps, where grains came from, and how sure it all is."""

from __future__ import annotations

import time
from typing import Any, Literal

import streamlit as st

import preview
from preview.page.asking import ask_slider, key, units
from preview.page.showing import as_lines, data_url, picture_spot, url_in
from preview.page.sliding import Followed
from preview.page.turns import in_turn
from preview.page.working import unless_stopped

LESS_UNSURE = (
    "What narrows it most: weigh the filled can, and measure the welded bar's length, width and thickness; then the "
    "width after each pass. Put them in under *Your forge*."
)

DRAFT_WIDTH = 480
"""Pixels of a quick picture that is shown while the sharp one is worked out."""
SECTION_SCALE, DRAFT_SCALE = 20.0, 10.0
"""Pixels in a millimetre of the cross-section, and of the one that follows the slider."""
LEAD = 0.05
"""Seconds in which the quick picture leaves and is painted, before anything else takes the wire and the processors."""


def quick_look(place: Any, job: preview.Job) -> Any:
    """Show a changed blade at once in ``place``, in a quick picture; return where the sharp one goes.

    Nothing is written before a picture is there, not even an empty place: until then the last picture stays.
    """
    seen = _seen()
    if (job, units()) in (seen["quick"], seen["sharp"]):
        return place
    place = _draw(place, preview.preview(job, width=DRAFT_WIDTH, units=units()))
    seen.update(quick=(job, units()), sharp=None)
    time.sleep(LEAD)
    return place


def picture_ahead(job: preview.Job) -> str:
    """Return the URL of a quick picture that the browser shows by itself, ahead of those that the page draws."""
    _seen().update(quick=(job, units()))
    return _url_of(preview.preview(job, width=DRAFT_WIDTH, units=units()))


def _seen() -> dict[str, Any]:
    """Return which blades are seen, quick and sharp."""
    seen: dict[str, Any] = st.session_state.setdefault("seen", {"quick": None, "sharp": None})
    return seen


def _url_of(shown: preview.Preview) -> str:
    return url_in("faces", preview.jpeg_bytes(shown.picture), "jpeg")


def show_faces(place: Any, job: preview.Job) -> preview.Preview:
    """Show both faces in ``place``, sharp; a changed blade first in a quick picture."""
    place = quick_look(place, job)
    with in_turn():
        shown = preview.preview(job, units=units())
    _draw(place, shown)
    st.session_state.seen.update(quick=None, sharp=(job, units()))
    return shown


def _draw(place: Any, shown: preview.Preview) -> Any:
    """Draw both faces in ``place`` and return their own place, where another picture stands instead of this one."""
    return place.image(_url_of(shown), width="stretch", alt=words_of(shown.job))


def words_of(job: preview.Job) -> str:
    grind = job.grind.right.title if job.grind.right.is_ground else "right face unground"
    behind = f", {job.blade.handle} handle" if job.blade.outline.tang_length and job.blade.handle != "none" else ""
    return f"Etched blade, right face above, left face below; {job.blade.outline.called}, {grind}{behind}."


def show_section(shown: preview.Preview) -> None:
    """Show the cross-section where a slider says, which follows it, and the blade from above."""
    length, place = float(shown.job.blade.outline.length), key("cut at")
    station = min(float(st.session_state.get(place, length / 2)), length)

    def cut(at: float) -> None:
        st.session_state[place] = at

    def draft() -> str:
        quick = shown.section(st.session_state.get(place, station), DRAFT_SCALE)
        return url_in("section", preview.png_bytes(quick.rgb, DRAFT_SCALE), "png")

    ask_slider(
        "Cut at, from the heel", station, 0.0, length, ("station",), cut, unit="mm", most=length, wide=True,
        followed=Followed("section", draft),
    )  # fmt: skip
    told, section = units().length(station, form=".0f"), shown.section(station, SECTION_SCALE)
    with st.container(key="section"):
        st.image(
            url_in("section", preview.png_bytes(section.rgb, SECTION_SCALE), "png"), width="stretch",
            alt=f"Cross-section {told} from the heel, edge on the left, right face above.",
        )  # fmt: skip
    st.caption(f"True to scale, edge on the left, right face above. {section.key}")
    st.image(
        data_url(preview.jpeg_bytes(shown.spine()), "jpeg"), width="stretch",
        alt="The blade from above its spine, tip on the right, the right face below.",
    )  # fmt: skip
    st.caption("From above the spine, tip on the right, the right face below.")


def show_numbers(shown: preview.Preview) -> None:
    st.table({"": dict(preview.report_lines(shown, units()))}, hide_header=True)
    st.caption(preview.TRUST.told(units()))


def show_likely(job: preview.Job) -> None:
    found = unless_stopped("likely", "Drawing likely blades", job, lambda: preview.likely(job, width=800))
    if found is None:
        return
    st.markdown("**Six likely looks of the right face**")
    st.image(data_url(preview.jpeg_bytes(found.sheet), "jpeg"), width="stretch", alt="Six likely looks, right face.")
    st.markdown(f"**How likely each spot is bright**, over {found.draws} draws: white always, black never")
    st.image(data_url(preview.jpeg_bytes(found.map), "jpeg"), width="stretch", alt="Chance of bright, both faces.")
    st.markdown("**Where the pattern may lie**: each ring holds its spot of the pattern in four blades of five")
    st.image(
        data_url(preview.jpeg_bytes(found.where), "jpeg"),
        width="stretch",
        alt="Right face with rings where it may lie.",
    )
    chosen, bands = units(), preview.worst_first(found.bands)
    heel, middle, tip = (chosen.length(ring.along, form=".0f") for ring in found.stations)
    st.caption(
        f"How far off half way up the bevel ({heel}, {middle} and {tip} from the heel), four times in five for each of "
        "both ways taken alone; a ring holds both at once, so it is wider. The worst place first:"
    )
    st.table(
        {
            "at the": [band.place for band in bands],
            "heel to tip": [chosen.length(*band.along, form="+.1f", between=" to ") for band in bands],
            "edge to spine": [chosen.length(*band.across, form="+.1f", between=" to ") for band in bands],
        }
    )
    st.caption(LESS_UNSURE)


def show_steps(shown: preview.Preview) -> None:
    st.markdown("**The bar's section after each step**, all at one scale: the slice that ends up in mid-blade")
    words = "Following the bar through the forging"
    strip = unless_stopped("steps", words, (shown.job, units()), lambda: shown.steps(units()))
    if strip is None:
        return
    st.image(data_url(preview.png_bytes(strip, 7.0), "png"), alt="Sections of the can and the bar.")
    st.markdown("**How thick the ground blade is**, along it and across it")
    st.image(data_url(shown.thickness(units()), "png"), alt="Thickness of the blade.")
    st.markdown("**Which lines survive**")
    picture, share = shown.survival()
    st.image(
        data_url(preview.png_bytes(picture, 6.0), "png"), width="stretch",
        alt="Right face; what is too fine to be told from grey is orange.",
    )  # fmt: skip
    st.caption(
        f"Right face. Orange: finer than the eye tells from grey at half a metre, {share:.1%} of the face."
        if share > 0.0005
        else "Right face. All of it is coarse enough to be seen at half a metre."
    )


def show_spots(shown: preview.Preview) -> None:
    """Point at the blade and see where in the can it came from, or the other way."""
    sides: tuple[Literal["right", "left"], ...] = ("right", "left")
    side = st.segmented_control("Face", sides, default="right", key="spot_face") or "right"
    spots = st.session_state.get("spots", ())
    spots = tuple(spot for spot in spots if spot is not None)
    finder = shown.spots
    face = shown.picture_of(side)
    on_this = tuple(finder.place_on_face(spot) for spot in spots if spot.side == side)

    def from_face(right: float, down: float) -> None:
        st.session_state.spots = (finder.of_face(side, right, down),)

    def from_can(right: float, down: float) -> None:
        st.session_state.spots = finder.of_can(right, down)

    st.markdown("**On the blade**: choose a spot to see which grain of the can shows there")
    picture_spot(preview.jpeg_bytes(finder.marked(face, on_this)), f"The {side} face.", f"spot_{side}", from_face)
    if spots:
        st.markdown(as_lines("\n".join(spot.words(units()) for spot in spots)))
    elif "spots" in st.session_state:
        st.info("There is no steel of the blade there: choose a spot inside its outline, or one that comes out on it.")
    st.markdown("**In the can**, as the dividers see it: choose a place to see where it comes out")
    in_can = tuple(finder.place_in_can(spot) for spot in spots)
    picture_spot(preview.jpeg_bytes(finder.marked(finder.can_picture(), in_can)), "The can.", "spot_can", from_can)
