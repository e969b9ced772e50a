"""A photograph of the real bar or blade on the page: what it shows, where its corners are, the card beside it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import streamlit as st

import preview
from preview.page.asking import Table, ask, key, units
from preview.page.four_corners import Corners, FourCorners
from preview.page.matching_marks import Face, Mark, Side, ask_marks, part_round
from preview.page.session import saved
from preview.page.starting import PICTURES
from preview.page.telling import told
from preview.page.working import unless_stopped

Of = Literal["bar", "blade"]

SIDES: tuple[Side, ...] = ("right", "left")
SHOWS: dict[Of, str] = {"bar": "The flat bar, uncut", "blade": "The finished blade"}


@dataclass(frozen=True)
class Asked:
    """A photograph, and what is said of it.

    Parameters
    ----------
    path
        Where it lies.
    of, side
        What it shows, and which face.
    corners, card, card_size
        Of the steel, and of a card beside it, as `preview.match` takes them; None where a hand has set none.
    marks
        Points of the pattern that are shown by hand.
    placed
        Whether the steel was found on it, or its corners were set by hand.
    """

    path: Path
    of: Of
    side: Side
    corners: Corners | None
    card: Corners | None
    card_size: tuple[float, float]
    marks: tuple[Mark, ...]
    placed: bool

    @property
    def given(self) -> dict[str, Any]:
        """What `preview.match` takes by name."""
        beside = {} if self.card is None else {"card": self.card, "card_size": self.card_size}
        return {"corners": self.corners, "marks": self.marks, **beside}


def ask_photo(job: preview.Job, how: str) -> Asked | None:
    """Ask for a photograph and its corners; None while there is none that can be read, and then how it is taken."""
    shows, face = st.columns(2)
    of = shows.segmented_control("It shows", list(SHOWS), format_func=SHOWS.__getitem__, default="bar", key="photo_of")
    side = face.segmented_control(
        "Which face", list(SIDES), format_func=str.capitalize, default="right", key="photo_face"
    )
    upload = st.file_uploader("Photograph of the steel", type=PICTURES, key="steel_photo")
    if upload is None:
        st.info(how)
        return None
    of, side = of or "bar", side or "right"
    try:
        path = saved(upload)
        photo = unless_stopped(
            "find_face", "Finding the steel", (path, of, side), lambda: preview.find_face(job, path, side, of=of)
        )
    except preview.PreviewError as error:
        st.error(told(error))
        return None
    if photo is None:
        return None
    asked: Table = st.session_state.setdefault(f"steel of {upload.file_id}", {"steel": {}, "card": {}})
    steel = FourCorners(
        f"steel corners {upload.file_id} {of} {side}", f"the {of}", asked["steel"], photo.picture, photo.tall,
        photo.corners,
    )  # fmt: skip
    card = FourCorners(
        f"card corners {upload.file_id}", "the card", asked["card"], photo.picture, photo.tall, photo.card
    )
    beside = st.checkbox(
        "A card or a ruler lies flat beside it", key="photo_card",
        help="It tells how the camera was held.",
    )  # fmt: skip
    size = _card_size(asked["card"]) if beside else preview.CARD_SIZE
    things = {f"The {of}": steel, "The card": card}
    thing = steel
    if beside:
        chosen = st.segmented_control("Set the corners of", list(things), default=f"The {of}", key="photo_corners")
        thing = things.get(chosen or "", steel)
    if thing is steel and photo.note is not None and "corners" not in asked["steel"]:
        st.warning(photo.note.told(units()))
    thing.on_photo()
    with st.expander("Corners in numbers"):
        thing.by_numbers()
    bare = job.unseen
    shown = Face(
        preview.uncut(bare) if of == "bar" else bare, side, photo.picture, photo.size, part_round(steel.corners)
    )
    name = f"{upload.file_id} {of} {side}"
    marks = ask_marks(shown, name, asked.setdefault(f"points {of} {side}", {}))
    by_hand = asked["steel"].get("corners")
    placed = photo.found or by_hand is not None
    return Asked(path, of, side, by_hand, card.corners if beside else None, size, marks, placed)


def _card_size(asked: Table) -> tuple[float, float]:
    """Return the width and height of what lies beside the steel, mm."""
    width, height = st.columns(2)
    size: tuple[float, float] = asked.get("size", preview.CARD_SIZE)
    most: Table = {"unit": "mm", "min_value": 10.0, "max_value": 1000.0}
    asked["size"] = size = (
        ask(width, "Its width on the photograph", size[0], key("card", "width"), **most) or size[0],
        ask(height, "Its height", size[1], key("card", "height"), **most) or size[1],
    )
    return size
