"""A photograph of a bar or blade before anything is laid on it: as it is shown, with its corners as they are found."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.errors import RequestError
from preview.base.files import stamp_of
from preview.base.paper_corners import Corners
from preview.base.photographs import read_photograph
from preview.base.pictures import jpeg_bytes
from preview.base.units import Sentence, say
from preview.blade.grind import Side
from preview.blade.ground import Ground
from preview.job.job import Job
from preview.job.uncut import uncut
from preview.seen.card import AROUND, CARD_SIZE
from preview.seen.card_search import find_card
from preview.seen.finding import find_pose
from preview.seen.learning import Of
from preview.seen.rectify import DARKEST, linear
from preview.seen.refusing import LEAST_PX_PER_MM, LEAST_RIM
from preview.seen.rim import rim_of

SHOWN = 1600
"""Pixels of the longer side of the photograph as it is shown."""

USUAL = 0.8
"""Share of the photograph's width that a face is given where it is not found."""

GAP = 12.0
"""Between the steel and where a card is looked for first, mm."""


@dataclass(frozen=True, eq=False)
class FacePhoto:
    """A photograph of a face, upright.

    Parameters
    ----------
    picture, tall
        It, for the screen: a JPEG; its height over its width.
    size
        Columns and rows of the file.
    corners
        Of the bar, or of a box round the blade: as they are found, or where they may be begun with.
    card
        Where a usual card is seen beside it, or where one below it would be, to begin with.
    note
        What to heed about the corners; None where they are surely found.
    found
        Whether there is a bar or blade on it.
    """

    picture: bytes
    tall: float
    size: tuple[int, int]
    corners: Corners
    card: Corners
    note: Sentence | None
    found: bool


def find_face(job: Job, photo: str | Path, side: Side = "right", *, of: Of = "bar") -> FacePhoto:
    """Return a photograph and the corners of the bar or blade in it, as for `match`; kept until the file changes.

    Raises
    ------
    RequestError
        If it has too few pixels for what it is to show.
    FileError
        If it cannot be read.
    """
    path = Path(photo)
    return _found(path, stamp_of(path), (uncut(job) if of == "bar" else job).ground, side)


@kept
def _found(path: Path, stamp: tuple[int, int], ground: Ground, side: Side) -> FacePhoto:  # noqa: ARG001 - kept by it
    taken = read_photograph(path)
    rows, columns = taken.light.shape
    rim = rim_of(ground, side)
    wide, high = (float(np.ptp(rim.box[:, axis])) for axis in (0, 1))
    least = LEAST_PX_PER_MM * wide
    if max(rows, columns) < least:
        problem = (
            f"has {columns} x {rows} pixels; {least:.0f} along the steel are needed at least: send it in full size"
        )
        raise RequestError.at("photo", problem)
    note = beside = None
    there = True
    try:
        logs = np.log(linear(taken.pixels) + DARKEST)
        found = find_pose(taken.light, logs, rim)
        beside = find_card(logs, rim, found.pose, CARD_SIZE)
        corners = found.pose.project(rim.box) / found.pose.size
        if found.share < LEAST_RIM:
            note = say("The outline is not seen all round: look whether each ring is on its corner.")
    except RequestError:
        there = False
        across = USUAL * columns * high / wide / rows
        corners = np.array([0.5, 0.5]) + AROUND * (USUAL, across) / 2
        note = say(
            "No bar or blade is found on it{}: put each ring on its corner, or lay the steel on plain cloth.",
            ", since it has to lie level" if rows > columns else "",
        )
    image = Image.fromarray(taken.pixels)
    image.thumbnail((SHOWN, SHOWN))
    is_card = beside is not None and beside.why_not is None
    card = beside.corners if beside is not None and is_card else _card_below(corners, wide, rows / columns)
    return FacePhoto(
        jpeg_bytes(np.asarray(image)), rows / columns, taken.whole, _as_corners(corners), _as_corners(card), note,
        there,
    )  # fmt: skip


def _card_below(corners: Array, wide: float, tall: float) -> Array:
    """Return where a card would be seen below the middle of a face ``wide`` mm long, inside the photograph."""
    ahead = corners[2] - corners[3]
    per_mm = float(np.hypot(ahead[0], ahead[1] * tall)) / wide
    size = np.array(CARD_SIZE) * per_mm / (1, tall)
    middle = corners[2:].mean(axis=0) + np.array([0, GAP * per_mm / tall + size[1] / 2])
    middle = np.clip(middle, size / 2, np.maximum(1 - size / 2, size / 2))
    return np.asarray(middle + AROUND * size / 2)


def _as_corners(places: Array) -> Corners:
    return tuple((float(right), float(down)) for right, down in places)  # type: ignore[return-value]
