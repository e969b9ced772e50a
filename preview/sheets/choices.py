"""The client's sheet with versions to choose from: two to four blades side by side, each with what may vary on it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from preview.base.arrays import Bytes
from preview.base.cautions import FOOT
from preview.base.errors import RequestError
from preview.base.progress import counted
from preview.base.units import Units
from preview.forge.draws import Likely, likely
from preview.job.job import Job
from preview.sheets.client import (
    CARE,
    CAUTION,
    RINGS,
    SheetWords,
    finish_words,
    grind_words,
    reach_at_worst,
    size_words,
    told_of_years,
    write_head,
)
from preview.sheets.mirror_words import mirror_words
from preview.sheets.paper import MARGIN as EDGE, SOFT, Page
from preview.sheets.wear_words import years_briefly

LETTERS = "ABCD"
"""What the versions are called, as many as there can be."""

TOLD_WIDE, GAP = 76.0, 5.0
"""Least width of the words beside a version, and what is left free round it, mm."""

EXPECT = (
    "Each picture is one likely look of a blade made that way. The steel is pressed and ground by hand and eye, and no "
    "two blades flow alike: think of it as the kind of pattern you will get, not as its drawing."
)


@dataclass(frozen=True, eq=False)
class Version:
    """One of the blades to choose from: its job, the right face at some pixels in a millimetre, and its draws."""

    job: Job
    face: Bytes
    px_per_mm: float
    likely: Likely


def version_words(job: Job, found: Likely, units: Units) -> str:
    """Return in plain words how a version is made, and how far its pattern may lie off; ``found`` are its draws."""
    made = f"{grind_words(job, units)}; {finish_words(job)}"
    return f"{made[0].upper()}{made[1:]}. {reach_at_worst(found, units)}"


def whole_words(job: Job, units: Units) -> str:
    """Return all that is said of a version where it stands alone: size, that, what years take of it, its left face."""
    found = likely(job, looks=False, chances=False)
    said = (f"{size_words(job, units)}.", version_words(job, found, units), _years(job, units), mirror_words(job))
    return " ".join(filter(None, said))


def _years(job: Job, units: Units) -> str:
    return years_briefly(told_of_years(job), units)


def check_count(jobs: tuple[Job, ...]) -> None:
    """Raise `RequestError` if there are more versions than a client is given to choose from."""
    if len(jobs) > len(LETTERS):
        given = len(jobs) - 1
        raise RequestError.at("beside", f"at most {len(LETTERS) - 1} versions fit beside the first; given {given}")


def choices_sheet(versions: tuple[Version, ...], words: SheetWords, size: tuple[float, float], units: Units) -> bytes:
    """Return the sheet as a PDF, on paper of ``size`` (width and height, mm): all versions at one scale."""
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    page = Page(size, "Choices", words.maker)
    room = size[0] - 2 * EDGE
    _side_by_side(page, versions, words, room, units)
    page.turn_over()
    _what_to_expect(page, versions, words.story.strip(), room, units)
    return page.finish()


def names(jobs: tuple[Job, ...]) -> tuple[str, ...]:
    """Return what each version is called: a letter, and its title."""
    return tuple(f"{letter} · {each.title or 'A blade'}" for letter, each in zip(LETTERS, jobs, strict=False))


def _side_by_side(page: Page, versions: tuple[Version, ...], words: SheetWords, room: float, units: Units) -> None:
    top = write_head(page, "Versions to choose from", words, room)
    foot = page.size[1] - EDGE - 8
    row = (foot - top) / len(versions)
    sizes = [(each.face.shape[1] / each.px_per_mm, each.face.shape[0] / each.px_per_mm) for each in versions]
    least = max(max(across / (room - TOLD_WIDE - GAP), high / (row - GAP)) for across, high in sizes)
    scale = max(1.0, ceil(20 * least) / 20)
    x = EDGE + max(across for across, _ in sizes) / scale + GAP
    beside = EDGE + room - x
    placed = tuple(zip(versions, names(tuple(each.job for each in versions)), sizes, strict=True))
    for number, (each, name, (across, high)) in enumerate(counted("setting the sheet", placed)):
        y = top + number * row
        page.picture(each.face, EDGE, y, across / scale, high / scale, photograph=True)
        y += page.words(name, x, y, beside, 12, "serif-bold") + 0.5
        page.words(version_words(each.job, each.likely, units), x, y, beside, 11, "serif")
    if scale == 1:
        page.check_bar(EDGE, foot + 1)
    else:
        page.words(
            f"Right faces, all shown {scale:g} times smaller than life.", EDGE, foot, room, 9, "serif-italic", SOFT
        )
    page.words(FOOT, EDGE, page.size[1] - EDGE - 3, room, 8, "serif-italic", SOFT)


def _what_to_expect(page: Page, versions: tuple[Version, ...], story: str, room: float, units: Units) -> None:
    y = EDGE
    y += page.words("What to expect", EDGE, y, room, 16, "serif") + 1
    mirrored = next(filter(None, (mirror_words(each.job) for each in versions)), "")
    expect = f"{EXPECT} In four blades of five the pattern lies near where it is shown. {RINGS}. {mirrored}"
    y += page.words(expect.strip(), EDGE, y, room, 11, "serif") + 3
    half = (room - 8) / 2
    left, right = EDGE, EDGE + half + 8
    named = tuple(zip(names(tuple(each.job for each in versions)), versions, strict=True))
    for first in range(0, len(named), 2):
        low = y
        for x, (name, each) in zip((left, right), named[first : first + 2], strict=False):
            rings = each.likely.where
            tall = min(half * rings.shape[0] / rings.shape[1], 0.24 * page.size[1])
            page.picture(rings, x, y, tall * rings.shape[1] / rings.shape[0], tall, photograph=True)
            under = y + tall + 1
            told = f"{name}. {_years(each.job, units)}"
            low = max(low, under + page.words(told, x, under, half, 9, "serif-italic", SOFT))
        y = low + 3
    care, caution = ("Care", CARE), ("Caution", CAUTION)
    columns = ((("The pattern", story),), (care, caution)) if story else ((care,), (caution,))
    for x, column in zip((left, right), columns, strict=True):
        low = y
        for head, text in column:
            low += page.words(head, x, low, half, 12, "serif-bold") + 0.5
            low += page.words(text, x, low, half, 11, "serif") + 3
    page.words(FOOT, EDGE, page.size[1] - EDGE - 3, room, 8, "serif-italic", SOFT)
