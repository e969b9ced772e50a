"""The sheet for the shop: the can's plan and fill, targets hot and cold, the blade in its bar, the grind, templates."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.errors import RequestError
from preview.base.units import Units, mm, say
from preview.day.batch import Batch
from preview.day.plan import Plan
from preview.filling.budget import Budget
from preview.filling.can_drawing import CanDrawing
from preview.filling.can_plan import Room
from preview.job.job import Job
from preview.look.section import Section
from preview.sheets.bar_sheet import draw_in_bar, draw_section
from preview.sheets.batch_sheet import draw_batch
from preview.sheets.can_page import GAP, draw_can_page, draw_totals, heeded
from preview.sheets.client import SheetWords
from preview.sheets.day_sheet import draw_day
from preview.sheets.grind_table import draw_grind
from preview.sheets.left_to_do import draw_left_to_do
from preview.sheets.order import PRACTICE, closing_order, draw_order, order_height, work_order
from preview.sheets.paper import MARGIN, SOFT, Page
from preview.sheets.step_rows import step_rows
from preview.sheets.template import Template
from preview.sheets.template_page import beyond, draw_templates
from preview.sheets.uncut_page import UncutFace, draw_uncut

BY_THE_DAY = (
    "Work by the heats and minutes of the day at the forge, which follows: they are planned for your tools. Those "
    "above are what scale and carbon were reckoned with."
)
NOT_BY_THE_DAY = (
    "Your tools do not manage this work as it stands: read the day at the forge, which follows, before any heat."
)
NO_DAY = "Not planned for your own press and fire: say them under The day on the page, or by --shop."

BESIDE_HEAD = 28.0
"""Room that the steps' head takes on its line, mm."""


@dataclass(frozen=True, eq=False)
class Shop:
    """What goes on the shop's sheet.

    Parameters
    ----------
    weighed
        The budget.
    drawn, plan
        The can, and its rooms in the order in which they are filled.
    templates
        Each face's marking template.
    uncut
        Both faces of the bar before the blade is cut.
    cut, station
        The section, and where it is cut, mm from the heel.
    """

    weighed: Budget
    drawn: CanDrawing
    plan: tuple[Room, ...]
    templates: tuple[Template, ...]
    uncut: tuple[UncutFace, ...]
    cut: Section
    station: float
    day: Plan | None = None
    batch: Batch | None = None


def shop_sheet(job: Job, shop: Shop, words: SheetWords, size: tuple[float, float], units: Units) -> bytes:
    """Return the shop's sheet as a PDF, on paper of ``size`` (width and height, mm), told in ``units``.

    Its first page is the can, the second what is done with it; once the bar was photographed, the first is what is left
    to do, and there is no second. Then the day at the forge if there is a plan of it, what several blades of this kind
    take if that was asked for, the templates, and last the flat bar. Where a can leaves no room beside it, what it is
    filled with goes on a page of its own.

    Raises
    ------
    RequestError
        If the blade does not fit the paper at true size, with the overrun.
    """
    outline, templates = job.blade.outline, shop.templates
    room, tall = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN
    need = len(templates) * (outline.height + sum(beyond(outline)) + 24) + 16
    if outline.length > room or need > tall:
        over = max(outline.length - room, need - tall)
        needed = "the templates at true size need {} more than this paper has; larger paper is needed"
        raise RequestError.at("paper", say(needed, mm(over, form=".0f")))
    page = Page(size, job.title or "Shop sheet", words.maker)
    if job.found is not None and job.found.of == "bar":
        draw_left_to_do(page, job, job.found, shop.cut, shop.station, words, units)
    else:
        draw_can_page(page, job, shop.weighed, shop.drawn, shop.plan, words, units)
        page.turn_over()
        _work(page, job, shop, units)
    page.turn_over()
    if shop.day is not None:
        draw_day(page, shop.day, units)
        page.turn_over()
    if shop.batch is not None:
        draw_batch(page, shop.batch, outline.profile, units)
        page.turn_over()
    draw_templates(page, job, templates, units)
    page.turn_over()
    draw_uncut(page, job, shop.uncut, units)
    return page.finish()


def _work(page: Page, job: Job, shop: Shop, units: Units) -> None:
    """Write the page of the work: targets hot and cold, the bar, the section, the grind."""
    room, weighed = page.size[0] - 2 * MARGIN, shop.weighed
    wide = 0.6 * room
    y = MARGIN
    if shop.day is None:
        page.words(NO_DAY, MARGIN + BESIDE_HEAD, y + 0.6, wide - BESIDE_HEAD, 7.5, colour=SOFT)
    y += page.words("Step by step", MARGIN, y, wide, 9, "sans-bold") + 0.5
    rows = step_rows(job, weighed, units)
    heed = heeded(weighed, units)
    under = {n: heed[f"step {n}"] for n in range(1, len(rows)) if f"step {n}" in heed}
    shares = (0.23, 0.19, 0.215, 0.215, 0.15)
    y += page.table(rows, MARGIN, y, tuple(each * wide for each in shares), 7.5, least=9, under=under) + 1
    if shop.day is not None:
        y += page.words(BY_THE_DAY if shop.day.possible else NOT_BY_THE_DAY, MARGIN, y, wide, 7.5, "sans-bold")
    y += 2
    y += draw_grind(page, job, MARGIN, y, wide, units) + 2
    x, narrow = MARGIN + wide + GAP, room - wide - GAP
    y2 = MARGIN
    y2 += draw_in_bar(page, job, x, y2, narrow, units) + 4
    y2 += draw_section(page, shop.cut, shop.station, x, y2, narrow, units) + 4
    y2 += draw_totals(page, weighed, slice(5, None), x, y2, narrow, units) + 4
    foot, order, closing = page.size[1] - MARGIN, work_order(job, units), closing_order(weighed)
    heads = f"After forging, in this order {PRACTICE}", f"Before the first heat {PRACTICE}"
    high = order_height(page, heads[0], order, wide), order_height(page, heads[1], closing, narrow)
    fits = y + high[0] <= foot, y2 + high[1] <= foot
    columns = (heads[0], order, MARGIN, y, wide), (heads[1], closing, x, y2, narrow)
    for here in (True, False):
        if not here and not all(fits):
            page.turn_over()
        for fitting, (head, lines, left, top, broad) in zip(fits, columns, strict=True):
            if fitting is here:
                draw_order(page, head, lines, left, top if here else MARGIN, broad)
