"""Points of the pattern shown by hand: where the preview has each, and where it is on the photograph."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import streamlit as st

import preview
from preview.page.asking import Table, units
from preview.page.four_corners import Corners
from preview.page.showing import picture_spot

Side = Literal["right", "left"]
Mark = tuple[tuple[float, float], tuple[float, float]]
"""Its pixel of the photograph, and its place of the face (mm), as `preview.match` takes them."""


@dataclass(frozen=True, eq=False)
class Face:
    """A face on which points are shown by hand, and its photograph.

    Parameters
    ----------
    job
        The work whose face it is: of a bar, uncut; by no photograph.
    side
        Which face.
    photo, size
        The photograph (JPEG), and the columns and rows of its file.
    part
        Where the steel is on it: left, top, right and foot, in shares of it.
    """

    job: preview.Job
    side: Side
    photo: bytes
    size: tuple[int, int]
    part: tuple[float, float, float, float]

    def pixel_at(self, right: float, down: float) -> tuple[float, float]:
        """Return the pixel at shares of the photograph's part."""
        left, top, end, foot = self.part
        return (left + right * (end - left)) * self.size[0], (top + down * (foot - top)) * self.size[1]

    def shares_of(self, pixel: tuple[float, float]) -> tuple[float, float]:
        """Return where a pixel lies on the photograph's part; undoes `pixel_at`."""
        left, top, end, foot = self.part
        return (pixel[0] / self.size[0] - left) / (end - left), (pixel[1] / self.size[1] - top) / (foot - top)


MARGIN, LEAST = (0.05, 0.2), 0.02
"""What is shown of the photograph round the steel, as a share of the steel's own width and height; least that is shown
of it each way, as a share of it."""


def part_round(corners: Corners) -> tuple[float, float, float, float]:
    """Return the part of a photograph on which the corners lie, and some room round them."""
    (left, right), (top, foot) = ((min(each), max(each)) for each in zip(*corners, strict=True))
    wide, high = MARGIN[0] * (right - left), MARGIN[1] * (foot - top)
    bounds = (left - wide, top - high, right + wide, foot + high)
    low_right, low_down, high_right, high_down = (min(max(each, 0.0), 1.0) for each in bounds)
    if high_right - low_right < LEAST or high_down - low_down < LEAST:
        return (0.0, 0.0, 1.0, 1.0)
    return low_right, low_down, high_right, high_down


def ask_marks(face: Face, name: str, asked: Table) -> tuple[Mark, ...]:
    """Ask for points by two clicks each, list those that are shown, and return them."""
    marks: list[Mark] = asked.setdefault("marks", [])
    with st.expander("Points that you show by hand", key=f"marks {name}", on_change="rerun") as panel:
        if panel.open:
            _by_clicks(face, name, asked, marks)
            _listed(name, marks)
    return tuple(marks)


def _by_clicks(face: Face, name: str, asked: Table, marks: list[Mark]) -> None:
    st.caption(
        "Where the pattern is hard to read, or repeats: click a point on the preview, then the same point on the "
        "photograph. Three of them or more do without a pattern that can be read."
    )
    shown = preview.preview(face.job, width=900)
    view = shown.view(face.side)

    def on_preview(right: float, down: float) -> None:
        asked["place"] = view.from_picture(right, down)
        _join(asked, marks)

    def on_photo(right: float, down: float) -> None:
        asked["pixel"] = face.pixel_at(right, down)
        _join(asked, marks)

    waiting = {what: [asked[what]] if what in asked else [] for what in ("pixel", "place")}
    places = [*(place for _, place in marks), *waiting["place"]]
    pixels = [*(pixel for pixel, _ in marks), *waiting["pixel"]]
    on_face = preview.jpeg_bytes(shown.picture_of(face.side))
    picture_spot(
        preview.numbered(on_face, [view.to_picture(*place) for place in places]),
        f"The {face.side} face as it is shown without a photograph.", f"mark place {name}", on_preview,
    )  # fmt: skip
    picture_spot(
        preview.numbered(face.photo, [face.shares_of(pixel) for pixel in pixels], face.part),
        "The photograph.", f"mark pixel {name}", on_photo,
    )  # fmt: skip
    if waiting["place"] or waiting["pixel"]:
        st.info(f"Now the same point on the {'photograph' if waiting['place'] else 'preview'}.")


def _join(asked: Table, marks: list[Mark]) -> None:
    """Make a mark of what was clicked, once both places are known."""
    if "place" in asked and "pixel" in asked:
        marks.append((asked.pop("pixel"), asked.pop("place")))


def _listed(name: str, marks: list[Mark]) -> None:
    for number, (_, (along, across)) in enumerate(marks, start=1):
        words, button = st.columns([5, 2], vertical_alignment="center")
        length = units().length
        place = f"{length(along, form='.0f')} from the heel, {length(across, form='.0f')} over the edge"
        words.markdown(f"{number}: {place}")
        button.button(
            "Take it away", key=f"mark {name} {number} {len(marks)}", on_click=_take_away, args=(marks, number - 1)
        )


def _take_away(marks: list[Mark], place: int) -> None:
    del marks[place]
