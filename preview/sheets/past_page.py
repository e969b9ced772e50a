"""The client's page of a blade made before: what was shown of it, and what it came out as."""

from __future__ import annotations

from preview.base.arrays import Bytes
from preview.log.past import Past
from preview.sheets.paper import MARGIN as EDGE, SOFT, Page

SHOWN = "As it was shown before it was forged"
CAME_OUT = "As it came out: a photograph"
EXPECT = (
    "The upper picture is worked out, not a photograph. Steel, day and light were this blade's own, and each picture "
    "has a scale of its own. It shows how near one blade came to its picture: yours may come nearer, or less near."
)


def past_page(page: Page, past: Past, room: float) -> None:
    """Write a page on a blade made before, after those that are there."""
    page.turn_over()
    y = EDGE
    y += page.words("A blade made before", EDGE, y, room, 16, "serif") + 0.5
    y += page.words(f"{past.name}, {past.day}", EDGE, y, room, 11, "serif-italic", SOFT) + 2
    foot = page.size[1] - EDGE
    told = page.height_of(EXPECT, room, 11, "serif") + 3
    captions = page.height_of(SHOWN, room, 9, "serif-italic") + 3
    both = foot - y - told - 2 * captions
    high = min(_high(past.shown, room), both / 2)
    for picture, caption, most in (
        (past.shown, SHOWN, high),
        (past.photograph, CAME_OUT, min(_high(past.photograph, room), both - high)),
    ):
        wide = most * picture.shape[1] / picture.shape[0]
        page.picture(picture, EDGE + (room - wide) / 2, y, wide, most, photograph=True)
        y += most + 0.5
        y += page.words(caption, EDGE, y, room, 9, "serif-italic", SOFT) + 2
    page.words(EXPECT, EDGE, y, room, 11, "serif")


def _high(picture: Bytes, wide: float) -> float:
    """Return how high a picture is where it is so wide."""
    rows, columns, *_ = picture.shape
    return float(wide * rows / columns)
