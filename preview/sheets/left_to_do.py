"""The shop sheet's first page once the bar was photographed: what is left to do, from there on."""

from __future__ import annotations

from preview.base.cautions import FORGED_CAUTIONS
from preview.base.units import Units
from preview.job.job import Job
from preview.job.seen import Seen
from preview.look.section import Section
from preview.sheets.bar_sheet import draw_in_bar, draw_section
from preview.sheets.client import SheetWords
from preview.sheets.grind_table import draw_grind
from preview.sheets.head import draw_head
from preview.sheets.order import PRACTICE, draw_order, work_order
from preview.sheets.paper import MARGIN, SOFT, Page

GAP, WIDE = 8.0, 0.6
"""Between the page's columns, mm; and what share of it the left one takes."""


def draw_left_to_do(
    page: Page, job: Job, found: Seen, cut: Section, station: float, words: SheetWords, units: Units
) -> None:
    """Write the page: the order of the work, the grind, the blade's place in the bar, the section, and cautions."""
    room = page.size[0] - 2 * MARGIN
    wide, y = WIDE * room, MARGIN
    y += draw_head(page, job, words, units) + 3
    y += page.words(photographed_words(found, units), MARGIN, y, room, 9, "sans-bold") + 4
    x, narrow = MARGIN + wide + GAP, room - wide - GAP
    beside = y + draw_in_bar(page, job, x, y, narrow, units) + 6
    draw_section(page, cut, station, x, beside, narrow, units)
    order = [measure_words(job, units), *work_order(job, units)]
    y += draw_order(page, f"Left to do, in this order {PRACTICE}", order, MARGIN, y, wide) + 4
    draw_grind(page, job, MARGIN, y, wide, units)
    cautions = "Cautions. " + " ".join(FORGED_CAUTIONS)
    page.words(cautions, MARGIN, page.size[1] - MARGIN - page.height_of(cautions, room, 7), room, 7, colour=SOFT)


def measure_words(job: Job, units: Units) -> str:
    """Return what comes before all else: a photograph does not tell how large a bar is."""
    bar, measured = job.history.bar, job.measured_bar
    if measured is None:
        size = units.length(bar.length, bar.width, form=".1f")
        return (
            f"Measure the bar: no photograph tells its length and width, reckoned as {size}. If it differs, search the "
            f"blade's place again with the measured size, and print this sheet anew."
        )
    return (
        f"Check the bar's length and width, measured as {units.length(*measured, form='.1f')}: the blade's place goes "
        "by them."
    )


def photographed_words(found: Seen, units: Units) -> str:
    """Return from where the work goes on, and how surely it is known there."""
    off = units.length(found.off, form=".1f")
    return (
        "The bar is forged, milled flat and photographed: cut, grind and etch are left. All on this sheet is of this "
        f"very bar, as the photograph showed it; the pattern may still lie {off} off, four times of five."
    )
