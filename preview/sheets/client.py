"""The sheet for the client: both faces at true size, what may vary, and plain words. No promise is made."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import Field

from preview.base.arrays import Bytes
from preview.base.cautions import FOOT
from preview.base.progress import counted
from preview.base.settings import Settings
from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.blade.handle import behind_heel
from preview.face.view import RIM
from preview.face.wear_numbers import WearNumbers
from preview.forge.bands import STATIONS, Ellipse
from preview.forge.draws import Likely
from preview.job.job import Job
from preview.log.past import Past
from preview.pipeline import after_years
from preview.sheets.mirror_words import mirror_words
from preview.sheets.paper import MARGIN as EDGE, RULE, SOFT, Page
from preview.sheets.past_page import past_page
from preview.sheets.seam_words import seam_words
from preview.sheets.wear_words import years_words

SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
"""A blade too long for the paper is shown this many times smaller, and the sheet says so."""

LOOKS_WIDE = 0.56
"""Share of the second page's width that the likely looks take; beside them stands where the pattern may lie."""

HELD = 15.0
"""Least of a handle (mm) that is shown where it is too long for the paper and is broken off."""

BREAK = 2.0
"""How far the zigzag of a line of break reaches to either side, mm."""

NAME = (1.0, 1.0, 1.0)
"""Colour of a face's name, which stands on the picture's slate."""

YEARS, READ_AT = 3.0, 4.0
"""How much of the edge (mm) a client is told will go, our own choice; and pixels in a millimetre for what it takes."""

LONGEST = 1500
UNCHANGED = 0.05
"""Reach (mm) along the blade of a pattern that does not change that way."""

Line = Annotated[str, Field(max_length=120)]

CARE = (
    "Carbon steel lives: wipe it dry after use, oil it lightly before it is put away, and keep it out of the "
    "dishwasher. The dark and bright of the etch soften with years of use and can be etched anew."
)
"""Common practice, no published source."""

CAUTION = "This is a sharp tool: cut away from yourself, store it sheathed or in a block, and keep it from children."

LIKELY = (
    "Six looks that are equally likely. The steel is pressed and ground by hand and eye, and no two blades flow alike: "
    "think of the picture as the kind of pattern you will get, not as its drawing."
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
    worn: WearNumbers,
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
        The right and the left face, as the viewer sees them.
    px_per_mm
        Their pixels in a millimetre.
    likely
        Likely looks of the same job.
    worn
        What sharpening will take off it; see `told_of_years`.
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
    room, foot = size[0] - 2 * EDGE, size[1] - EDGE
    y = write_head(page, job.title or "A blade", words, room)
    pictures, beyond = _held(job, pictures, px_per_mm, room)
    tall, wide = (side / px_per_mm for side in pictures[0].shape[:2])
    scale = next((each for each in SCALES if wide / each <= room), SCALES[-1])
    tall, wide = tall / scale, wide / scale
    x = (size[0] - wide) / 2
    named = tuple(zip(pictures, ("Right face", "Left face"), (x, x + wide), strict=True))
    for picture, name, heel_end in counted("setting the sheet", named):
        if y + tall > foot - 6:
            page.turn_over()
            y = EDGE
        page.picture(picture, x, y, wide, tall, photograph=True)
        page.words(name, x + 2, y + 1.5, 60, 9, "sans-bold", NAME)
        if beyond:
            _line_of_break(page, heel_end, y, tall)
        y += tall + 1.5
    if scale == 1:
        page.check_bar(x, y + 2)
    if scale > 1:
        long = units.length(job.blade.outline.length, form="g")
        told = f"Shown {scale:g} times smaller than life: the blade is {long} long."
        page.words(told, x, y + 0.5, wide, 9, "serif-italic", SOFT)
    elif beyond:
        cut = "tang" if job.blade.handle == "none" else "handle"
        more = units.length(beyond, form=".0f")
        told = f"The blade is at true size; its {cut} goes on {more} beyond the break."
        y += 5
        page.words(told, x, y + 0.5, wide, 9, "serif-italic", SOFT)
    y += 8
    story = words.story.strip()
    if story and y + page.height_of(story, wide, 12, "serif") <= foot:
        page.words(story, x, y, wide, 12, "serif")
        story = ""
    _second_page(page, job, likely, worn, story, room, units)
    if past is not None:
        past_page(page, past, room)
    return page.finish()


def _held(job: Job, pictures: tuple[Bytes, ...], px_per_mm: float, room: float) -> tuple[tuple[Bytes, ...], float]:
    """Return what ``room`` (mm) holds of both faces at true size, and how much of the handle (mm) lies beyond.

    The blade is what has to be seen at its size, so the handle is cut off; where the room is too narrow for the blade
    and some of the handle, the pictures stay whole.
    """
    right, left = pictures
    outline, columns = job.blade.outline, int(room * px_per_mm)
    back, *_ = behind_heel(outline, job.blade.handle).reach
    if right.shape[1] <= columns or outline.length + RIM + min(back, HELD) > room:
        return pictures, 0.0
    beyond = max(0.0, outline.length + RIM + back - room)
    return (right[:, -columns:], left[:, :columns]), beyond


def _line_of_break(page: Page, x: float, y: float, tall: float) -> None:
    """Draw, from ``y`` down, what says that something goes on there: a narrow line with a zigzag (ISO 128-2)."""
    middle = y + tall / 2
    zigzag = [
        (x, middle - BREAK),
        (x - BREAK, middle - BREAK / 2),
        (x + BREAK, middle + BREAK / 2),
        (x, middle + BREAK),
    ]
    page.line([(x, y), *zigzag, (x, y + tall)], wide=0.3)


def write_head(page: Page, title: str, words: SheetWords, room: float) -> float:
    """Write the title and who it is by and for; return where the picture may start, mm."""
    y = EDGE
    y += page.words(title, EDGE, y, room, 22, "serif") + 1
    if words.by:
        y += page.words(words.by, EDGE, y, room, 11, "serif-italic", SOFT)
    y += 1.5
    page.line([(EDGE, y), (EDGE + room, y)], wide=0.2, colour=RULE)
    return y + 2.5


def _second_page(
    page: Page, job: Job, likely: Likely, worn: WearNumbers, story: str, room: float, units: Units
) -> None:
    page.turn_over()
    y = EDGE
    y += page.words("What to expect", EDGE, y, room, 16, "serif") + 1.5
    (_, expect), *blocks = client_words(job, likely, worn, story, units)
    wide, beside = LOOKS_WIDE * room, (1 - LOOKS_WIDE) * room - 5
    tall = min(wide * likely.sheet.shape[0] / likely.sheet.shape[1], page.size[1] * (0.38 if story else 0.48))
    wide = tall * likely.sheet.shape[1] / likely.sheet.shape[0]
    page.picture(likely.sheet, EDGE, y, wide, tall, photograph=True)
    rings, x = likely.where, EDGE + room - beside
    low = beside * rings.shape[0] / rings.shape[1]
    page.picture(rings, x, y, beside, low, photograph=True)
    low += page.words(expect, x, y + low + 2, beside, 10, "serif-italic", SOFT) + 2
    y += max(tall, low) + 4

    half = (room - 10) / 2
    columns = ((EDGE, blocks[:-2]), (EDGE + half + 10, blocks[-2:]))
    for x, column in columns:
        low = y
        for head, text in column:
            low += page.words(head, x, low, half, 12, "serif-bold") + 0.5
            low += page.words(text, x, low, half, 11, "serif") + 3
    page.words(FOOT, EDGE, page.size[1] - EDGE - 3, room, 8, "serif-italic", SOFT)


def told_of_years(job: Job) -> WearNumbers:
    """Return what a client is told that sharpening will take off the blade."""
    back = min(YEARS, job.blade.outline.height / 4)
    return after_years(job, back, px_per_mm=READ_AT).numbers


def client_words(job: Job, likely: Likely, worn: WearNumbers, story: str, units: Units) -> tuple[tuple[str, str], ...]:
    """Return what a client is told, each head with its text: what to expect, the story, the steel, care, caution."""
    return (
        ("What to expect", f"{LIKELY} {_ring_words(likely, units)}"),
        *((("The pattern", story),) if story else ()),
        ("Steel and finish", steel_words(job, units)),
        ("Care", f"{CARE} {years_words(worn, units)}"),
        ("Caution", CAUTION),
    )


RINGS = "Each ring drawn on the blade holds its spot of the pattern as often"


def _ring_words(likely: Likely, units: Units) -> str:
    """Return how far off the pattern may lie, the worst place first: as far everywhere as a ring there reaches."""
    worst_first = sorted(zip(STATIONS, likely.stations, strict=True), key=lambda each: -max(each[1].reach))
    told = "; ".join(f"{_at(place, ring, units)} within {_reach_words(ring, units)}" for place, ring in worst_first)
    widest = units.length(max(ring.half_long for ring in likely.parts), form=".1f")
    return (
        f"In four blades of five the pattern lies near where it is shown. Half way up the bevel that is {told}. "
        f"{RINGS}; rings stand on parts of the pattern, the widest reaches {widest} to either side."
    )


def _at(place: str, ring: Ellipse, units: Units) -> str:
    near = "in the middle" if place == "middle" else f"near the {place}"
    return f"{near} ({units.length(ring.along, form='.0f')} from the heel)"


def reach_at_worst(likely: Likely, units: Units) -> str:
    """Return how far off the pattern may lie in the place where that is most."""
    place, ring = max(zip(STATIONS, likely.stations, strict=True), key=lambda each: max(each[1].reach))
    return (
        f"In four blades of five the pattern lies near where it is shown: {_at(place, ring, units)}, where it may lie "
        f"off most, within {_reach_words(ring, units)}."
    )


def _reach_words(ring: Ellipse, units: Units) -> str:
    along, across = (units.length(reach, form=".1f") for reach in ring.reach)
    if ring.reach[0] < UNCHANGED:  # lines that run along the blade
        return f"{across} from edge to spine"
    return f"{along} along the blade and {across} from edge to spine"


def steel_words(job: Job, units: Units) -> str:
    """Return in plain words what the blade is made of and how it is finished."""
    parts = []
    for powder in job.powders:
        looks = "stays bright" if powder.name in job.bright_powders else "turns dark"
        kind = f"steel with {powder.nickel:g} % nickel" if powder.nickel >= 0.5 else "plain carbon steel"
        parts.append(f"{kind}, which {looks} in the etch")
    outline = job.blade.outline
    text = (
        f"Made from steel powders, welded, forged and ground by hand: {'; '.join(parts)}. "
        f"{size_words(job, units)}; "
        f"{grind_words(job, units)}. The bright steel is {finish_words(job)}. No colour is painted on: "
        "the pattern goes through the steel."
    )
    text = " ".join(filter(None, (text, mirror_words(job), seam_words(job, units))))
    if outline.tang_length and job.blade.handle != "none":
        text += " The handle is drawn as a plain shape only; its form and material are yet to be chosen."
    return re.sub(r"(?<=\d) (?=mm|in\b|%)", "\u00a0", text)  # a number keeps its unit on its line


def size_words(job: Job, units: Units) -> str:
    """Return what kind of blade it is, and how large."""
    outline = job.blade.outline
    long, high = (units.length(size, form="g") for size in (outline.length, outline.height))
    return f"{outline.called.capitalize()}, {long} long and {high} high at the heel"


def finish_words(job: Job) -> str:
    """Return in plain words how the steel is finished."""
    dark = "a dark finish after the etch" if job.etch.dark_finish is not None else "etched"
    bright = job.light.finish if job.light.finish == "polished" else f"{job.light.finish} to {job.light.grit} grit"
    return f"{bright}, {dark}"


def grind_words(job: Job, units: Units) -> str:
    """Return the grind in plain words, in the reader's units."""
    right, left = (job.grind.bevel(side).words(units) for side in SIDES)
    return f"{right} on both faces" if right == left else f"{right} on the right face, {left} on the left"
