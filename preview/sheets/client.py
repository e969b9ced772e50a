"""The sheet for the client: both faces at true size, what may vary, and plain words. No promise is made."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field

from preview.base.arrays import Bytes
from preview.base.cautions import FOOT
from preview.base.progress import counted
from preview.base.settings import Settings
from preview.base.units import Units
from preview.blade.handle import behind_heel
from preview.face.view import RIM, View
from preview.forge.draws import Likely
from preview.job.job import Job
from preview.log.past import Past
from preview.pipeline import AfterYears
from preview.sheets.blade_drawing import blade_drawing, drawing_high
from preview.sheets.client_words import client_words
from preview.sheets.paper import MARGIN as EDGE, RULE, SOFT, Page
from preview.sheets.past_page import past_page
from preview.sheets.rings import rings_picture
from preview.sheets.wear_words import years_caption

SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
"""A blade too long for the paper is shown this many times smaller, and the sheet says so."""

GAP = 4.0
"""Left free between pictures, mm."""

LOOKS_HIGH = 0.56
"""Most of a page's height that the likely looks take; below them stands where the pattern may lie."""

HELD = 15.0
"""Least of a handle (mm) that is shown where it is too long for the paper, and all of it where the blade is small."""

SIZES = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0)
"""Of words beside pictures, in points: the largest that has room is taken."""

NAME = (1.0, 1.0, 1.0)
"""Colour of what is written on a picture, which stands on its slate."""

DRAWN_WIDE = 160.0
"""Most width of the drawing that names the blade's parts, mm."""

LONGEST = 1500

Line = Annotated[str, Field(max_length=120)]

MIDDLE = (
    "These pictures are the middle of what may come out, and tidier than most blades: yours will look more like one of "
    "the six on the next page than like this one."
)


class SheetWords(Settings):
    """What the maker writes on a sheet: who made it, for whom, the pattern's story, and a date."""

    maker: Line = ""
    made_for: Line = ""
    date: Line = ""
    story: Annotated[str, Field(max_length=LONGEST)] = ""

    @property
    def by(self) -> str:
        """Who made it and for whom, and the date, on one line."""
        by = (f"by {self.maker}" if self.maker else "", f"for {self.made_for}" if self.made_for else "", self.date)
        return "  ·  ".join(filter(None, by))


def client_sheet(
    job: Job,
    pictures: tuple[Bytes, ...],
    px_per_mm: float,
    likely: Likely,
    worn: AfterYears,
    words: SheetWords,
    size: tuple[float, float],
    units: Units,
    past: Past | None = None,
) -> bytes:
    """Return the client's sheet as a PDF, on paper of ``size`` (width and height, mm).

    Parameters
    ----------
    job
        The job.
    pictures
        The right and the left face, as the viewer sees them; of the handle no more than `handle_room` has.
    px_per_mm
        Their pixels in a millimetre.
    likely
        Likely looks of the same job.
    worn
        What sharpening will leave of it; see `client_years`.
    words
        What the maker writes.
    size
        The paper.
    units
        What its sizes are told in.
    past
        A blade made before, for a page of its own.
    """
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    page = Page(size, job.title or "Blade", words.maker)
    room = size[0] - 2 * EDGE
    story, drawn = _first_page(page, job, pictures, px_per_mm, words, room, units)
    (head, expect), *blocks = client_words(job, likely, worn.numbers, story, units)
    _looks_page(page, likely, head, expect, room, units)
    _words_page(page, job, blocks, worn, room, units, drawn=drawn)
    if past is not None:
        past_page(page, past, room)
    return page.finish()


def handle_room(job: Job, paper_wide: float) -> float | None:
    """Return what paper so wide (mm) has room for behind the heel at true size, mm; None if it has none for the blade.

    The blade is what has to be seen at its size, so the handle is cut off where it is too long.
    """
    outline, room = job.blade.outline, paper_wide - 2 * EDGE
    back, *_ = behind_heel(outline, job.blade.handle).reach
    least = outline.length + RIM + min(back, HELD)
    return None if least > room else room - outline.length - RIM


def _first_page(
    page: Page, job: Job, pictures: tuple[Bytes, ...], px_per_mm: float, words: SheetWords, room: float, units: Units
) -> tuple[str, bool]:
    """Write the faces' page; return what of the story has no room on it, and whether the parts are drawn on it."""
    foot = foot_of(page)
    y = write_head(page, job.title or "A blade", words, room)
    tall, wide = (side / px_per_mm for side in pictures[0].shape[:2])
    scale = next((each for each in SCALES if wide / each <= room + 0.1), SCALES[-1])
    tall, wide = tall / scale, wide / scale
    x = (page.size[0] - wide) / 2
    shown = handle_room(job, page.size[0])
    beyond = 0.0 if shown is None else behind_heel(job.blade.outline, job.blade.handle).reach[0] - shown
    named = tuple(zip(pictures, ("Right face", "Left face"), (x, x + wide), strict=True))
    for picture, name, heel_end in counted("setting the sheet", named):
        if y + tall > foot:
            write_foot(page, room)
            page.turn_over()
            y = EDGE
        page.picture(picture, x, y, wide, tall, photograph=True)
        page.words(name, x + 2, y + 1.5, 60, 9, "sans-bold", NAME)
        if beyond > 0:
            page.line_of_break(heel_end, y, tall)
        y += tall + 1.5
    told = MIDDLE
    if scale == 1:
        page.check_bar(x, y + 2)
        y += 5
    else:
        long = units.length(job.blade.outline.length, form="g")
        told += f" They are smaller than life: {scale_words(scale, units)}, which is {long} long."
    if beyond > 0:
        cut = "tang" if job.blade.handle == "none" else "handle"
        told += f" The blade is at true size; its {cut} goes on {units.length(beyond, form='.0f')} beyond the break."
    y += page.words(told, EDGE, y + 0.5, room, 10, "serif-italic", SOFT) + 3
    story = words.story.strip()
    if story and y + page.height_of(story, room, 12, "serif") <= foot:
        y += page.words(story, EDGE, y, room, 12, "serif") + 4
        story = ""
    wide = min(room, DRAWN_WIDE)
    drawn = y + drawing_high(job, wide) <= foot
    if drawn:
        blade_drawing(page, job, EDGE + (room - wide) / 2, y, wide, units)
    write_foot(page, room)
    return story, drawn


def scale_words(scale: float, units: Units) -> str:
    """Return how large pictures are that are shown ``scale`` times smaller than the blade."""
    unit = units.name("mm")
    return f"1 {unit} on them is {scale:g} {unit} of the blade"


def write_head(page: Page, title: str, words: SheetWords, room: float) -> float:
    """Write the title and who it is by and for; return where the picture may start, mm."""
    y = EDGE
    y += page.words(title, EDGE, y, room, 22, "serif") + 1
    if words.by:
        y += page.words(words.by, EDGE, y, room, 11, "serif-italic", SOFT)
    y += 1.5
    page.line([(EDGE, y), (EDGE + room, y)], wide=0.2, colour=RULE)
    return y + 2.5


def write_foot(page: Page, room: float) -> None:
    """Write at the foot of a page what its pictures are not."""
    page.words(FOOT, EDGE, page.size[1] - EDGE - 3, room, 8, "serif-italic", SOFT)


def foot_of(page: Page) -> float:
    """Return down to where a page may be written on, mm."""
    return page.size[1] - EDGE - 5


def without_handle(picture: Bytes, view: View) -> Bytes:
    """Return a face's picture with but the front of its handle."""
    columns, held = view.inside[1], round(HELD * view.px_per_mm)
    return picture[:, : columns.stop + held] if view.mirrored else picture[:, max(0, columns.start - held) :]


def _looks_page(page: Page, likely: Likely, head: str, expect: str, room: float, units: Units) -> None:
    """Write the page of what may come out: six looks, and rings where the pattern may lie."""
    page.turn_over()
    y = EDGE
    y += page.words(head, EDGE, y, room, 16, "serif") + 1.5
    looks = [without_handle(each, likely.view) for each in likely.looks]
    share = looks[0].shape[0] / looks[0].shape[1]
    half = (room - GAP) / 2
    tall = min(half * share, (LOOKS_HIGH * page.size[1] - 2 * GAP) / 3)
    wide = tall / share
    for number, look in enumerate(looks):
        row, column = divmod(number, 2)
        left, top = EDGE + column * (room - wide), y + row * (tall + GAP)
        page.picture(look, left, top, wide, tall, photograph=True)
        page.words(f"{number + 1}", left + 2, top + 1, 20, 10, "sans-bold", NAME)
    y += 3 * (tall + GAP) + 2
    rings = without_handle(rings_picture(likely, units), likely.view)
    page.picture(rings, EDGE, y, wide, tall, photograph=True)
    beside = wide if wide > room / 3 else room - wide - GAP  # below the looks of its side, but for a stout blade
    size = size_that_fits(page, expect, beside, foot_of(page) - y)
    page.words(expect, EDGE + room - beside, y - 1, beside, size, "serif")
    write_foot(page, room)


def _words_page(
    page: Page,
    job: Job,
    blocks: list[tuple[str, str]],
    worn: AfterYears,
    room: float,
    units: Units,
    *,
    drawn: bool,
) -> None:
    """Write the page of plain words, with the sharpened blade, and its parts where they are not ``drawn`` before."""
    page.turn_over()
    half = column_wide(room)
    left, right = EDGE, EDGE + room - half
    y = max(write_columns(page, blocks, room)) + 2
    right_face = without_handle(worn.picture_of("right"), worn.faces[0].view)
    share = right_face.shape[0] / right_face.shape[1]
    told = years_caption(worn.numbers, "right face and left face" if drawn else "right face", units)
    wide, tall = room if drawn else half, half * share
    high = tall + 1 + page.height_of(told, wide, 10, "serif-italic")
    if y + (high if drawn else max(high, drawing_high(job, half))) > foot_of(page):  # a long story
        write_foot(page, room)
        page.turn_over()
        y = EDGE
    page.picture(right_face, left, y, half, tall, photograph=True)
    if drawn:
        left_face = without_handle(worn.picture_of("left"), worn.faces[1].view)
        page.picture(left_face, right, y, half, tall, photograph=True)
    else:
        blade_drawing(page, job, right, y, half, units)
    page.words(told, left, y + tall + 1, wide, 10, "serif-italic", SOFT)
    write_foot(page, room)


def size_that_fits(page: Page, text: str, wide: float, high: float) -> float:
    """Return the largest of `SIZES` in which ``text`` has room on so many mm, or the smallest."""
    return next((size for size in SIZES if page.height_of(text, wide, size, "serif") <= high), SIZES[-1])


def column_wide(room: float) -> float:
    """Return the width of one of two columns of words, mm."""
    return (room - 10) / 2


def write_columns(page: Page, blocks: list[tuple[str, str]], room: float) -> tuple[float, float]:
    """Write heads with their texts in two columns, as even as they come in their order; return where each ends, mm."""
    wide = column_wide(room)
    for size in (12.0, *SIZES):  # the largest that has room
        high = [
            page.height_of(head, wide, size + 1, "serif-bold") + page.height_of(text, wide, size, "serif") + 4.5
            for head, text in blocks
        ]
        lefts = np.cumsum([0.0, *high])
        split = int(np.maximum(lefts, lefts[-1] - lefts).argmin())
        left, right = EDGE + float(lefts[split]), EDGE + float(lefts[-1] - lefts[split])
        if max(left, right) <= foot_of(page):
            break
    for x, column in ((EDGE, blocks[:split]), (EDGE + room - wide, blocks[split:])):
        y = EDGE
        for head, text in column:
            y += page.words(head, x, y, wide, size + 1, "serif-bold") + 0.5
            y += page.words(text, x, y, wide, size, "serif") + 4
    return left, right
