"""The bar's faces at true size on paper, with the blade's outline: to lay beside the milled and etched bar."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Bytes
from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.face.view import View
from preview.job.job import Job
from preview.job.uncut import uncut
from preview.pipeline import face_maps, take_picture
from preview.sheets.bar_sheet import DASHES, MARK, MIDDLE
from preview.sheets.paper import MARGIN, SOFT, Page

SHOWN_AT = 6.0
"""Pixels in a millimetre of the faces."""

LEAST = 0.1
"""What the paper lacks of a bar (mm) that is told."""

TO_COMPARE = (
    "Mill the shell off, etch the flat bar for a moment, and lay it beside this. The blade's place is still free: "
    "move the outline to where the pattern came out."
)
AS_SEEN = {
    "bar": "This is your bar as the photograph showed it; a face that was not photographed is reckoned from the one "
    "that was. Lay it beside this once more, middle lines on middle lines, then mark the blade where the outline lies. "
    "Black at its rim: what lies there is not known.",
    "blade": "This is the bar as it was, by the photograph of the finished blade.",
}
MIDDLE_LINES = "Blue, broken: the bar's middle lines, from which the place is marked."


@dataclass(frozen=True, eq=False)
class UncutFace:
    """One face of the bar: its picture, RGB bytes, and the frame of that."""

    picture: Bytes
    view: View


def uncut_faces(job: Job) -> tuple[UncutFace, ...]:
    """Return both faces of the bar of ``job`` before the blade is cut, the right one first."""
    bar = uncut(job)
    return tuple(UncutFace(take_picture(bar, face), face.view) for face in face_maps(bar, SHOWN_AT))


def draw_uncut(page: Page, job: Job, faces: tuple[UncutFace, ...], units: Units) -> None:
    """Draw the page: both faces at true size, each with the blade's outline; what the paper does not hold is cut off.

    Where both do not fit under each other, the right one stands alone.
    """
    room, foot = page.size[0] - 2 * MARGIN, page.size[1] - MARGIN
    bar, blade = job.history.bar, job.blade
    along, across = blade.outline.profile.T
    profile = np.stack(blade.in_plan(along, across, bar), axis=1) + np.array(bar.size[:2]) / 2
    at_middle = float(blade.in_plan(np.array(blade.outline.length / 2), np.zeros(()), bar)[0])
    y = MARGIN
    y += page.words("The bar before the blade is cut, at true size", MARGIN, y, room, 11, "sans-bold") + 1
    told = f"{TO_COMPARE if job.found is None else AS_SEEN[job.found.of]} {MIDDLE_LINES}"
    y += page.words(told, MARGIN, y, room, 7.5, colour=SOFT) + 2
    page.check_bar(MARGIN, y)
    y += 5
    for side, face in zip(SIDES, faces, strict=True):
        if y + bar.width + 6 > foot:
            break
        held = min(bar.length, room)
        middle = float(np.clip(at_middle + bar.length / 2, held / 2, bar.length - held / 2))
        start = middle - held / 2  # along the bar, mm from its heel end
        rows, columns = face.view.inside
        picture = face.picture[rows, columns]
        first = start if side == "right" else bar.length - start - held
        scale = face.view.px_per_mm
        picture = picture[:, round(first * scale) : round((first + held) * scale)]
        left = MARGIN + (room - held) / 2
        ends = start, bar.length - start - held  # what the paper lacks of it at its heel end and at its tip end
        cut = _beyond_words(ends, start - float(profile[:, 0].min()), units)
        y += page.words(f"{side.capitalize()} face, edge side down{cut}", MARGIN, y, room, 8, "sans-bold") + 1
        page.picture(picture, left, y, held, bar.width, photograph=True)
        _middle_lines(page, (left, y), (held, bar.width), (bar.length / 2 - start, bar.width / 2), side)
        along = profile[:, 0] - start if side == "right" else held - (profile[:, 0] - start)
        on_page = np.stack([left + along, y + bar.width - profile[:, 1]], axis=1)
        on_page[:, 1] = np.clip(on_page[:, 1], y, y + bar.width)
        inside = shapely.LinearRing(on_page).intersection(shapely.box(left, 0, left + held, page.size[1]))
        for part in shapely.get_parts(shapely.line_merge(inside)):
            page.line(shapely.get_coordinates(part), wide=0.35, colour=MARK)
        for end, lacking in zip((left, left + held), ends if side == "right" else ends[::-1], strict=True):
            if lacking > LEAST:
                page.line_of_break(end, y, bar.width)
        y += bar.width + 5


def _beyond_words(ends: tuple[float, float], tang: float, units: Units) -> str:
    """Return how far (mm) the bar goes on beyond the paper at either of its ends, and the blade's tang with it."""
    told = [
        f"{units.length(lacking, form='.0f')} beyond the break at its {name} end"
        for name, lacking in zip(("heel", "tip"), ends, strict=True)
        if lacking > LEAST
    ]
    if not told:
        return ""
    behind = f", and the tang {units.length(tang, form='.0f')}" if tang > LEAST else ""
    return f"; the bar goes on {' and '.join(told)}{behind}"


def _middle_lines(
    page: Page, at: tuple[float, float], size: tuple[float, float], middle: tuple[float, float], side: str
) -> None:
    """Draw the bar's middle lines over a face of ``size`` whose upper left corner is ``at``; mm.

    ``middle`` is where they lie, from the face's heel end and its edge side; what the paper does not hold is left out.
    """
    (left, top), (long, high) = at, size
    across = middle[0] if side == "right" else long - middle[0]
    level = top + high - middle[1]
    page.line([(left, level), (left + long, level)], wide=0.25, colour=MIDDLE, dash=DASHES)
    if 0 < across < long:
        page.line([(left + across, top), (left + across, top + high)], wide=0.25, colour=MIDDLE, dash=DASHES)
