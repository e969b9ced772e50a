"""The head of the shop's sheet: what it is for, who made it, in which units."""

from __future__ import annotations

from preview.base.units import Units
from preview.job.job import Job
from preview.sheets.client import SheetWords
from preview.sheets.paper import MARGIN, SOFT, Page


def draw_head(page: Page, job: Job, words: SheetWords, units: Units) -> float:
    """Write the head at the top of a page; return its height, mm."""
    room, y = page.size[0] - 2 * MARGIN, MARGIN
    y += page.words(f"Shop sheet: {job.title or 'blade'}", MARGIN, y, room, 13, "sans-bold")
    sizes = f"sizes in {unit_name(units)}, cold unless it says hot"
    line = "  ·  ".join(filter(None, [words.maker, words.date, sizes]))
    return y + page.words(line, MARGIN, y, room, 7.5, colour=SOFT) - MARGIN


def unit_name(units: Units) -> str:
    """Return what sizes are told in, as a word."""
    return "inches" if units.sizes == "inch" else "mm"
