"""The shop sheet's page of the can: its plan, what is weighed in, and in which order its rooms are filled."""

from __future__ import annotations

from preview.base.cautions import CAUTIONS
from preview.base.units import Units
from preview.filling.budget import Budget
from preview.filling.budget_words import budget_lines, fill_rows
from preview.filling.can_drawing import CanDrawing
from preview.filling.can_plan import CANNOT, NONE, Room, plan_turns
from preview.job.job import Job
from preview.sheets.can_sheet import COLUMN, Larger, draw_plan, list_rooms, rooms_height, scale_of
from preview.sheets.client import SheetWords
from preview.sheets.head import draw_head
from preview.sheets.mirror_words import mirror_words
from preview.sheets.paper import MARGIN, SOFT, Page

NARROWEST, BESIDE, GAP = 75.0, 120.0, 8.0
"""Width that the can's plan takes at least, what has to be left beside it for the fill, and between the two, mm."""

FILL_HIGH = 75.0
"""Room that the fill takes below the can's plan, mm: with three powders, and what is to be heeded of each."""

HEAD = 16.0
"""Height of the sheet's title and what stands under it, mm."""

BELOW = 33.0
"""Kept below the can's plan for its words and the cautions, mm."""

LIST = 3 * COLUMN
"""Width of the list of the rooms where something stands beside it, mm."""


def plan_scale(drawn: CanDrawing, size: tuple[float, float]) -> float:
    """Return how many times smaller a can is drawn on paper of ``size`` (width and height, mm)."""
    return scale_of(drawn, (size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - HEAD - BELOW))


def draw_can_page(
    page: Page, job: Job, weighed: Budget, drawn: CanDrawing, plan: tuple[Room, ...], words: SheetWords, units: Units
) -> None:  # fmt: skip
    """Write the page of the can: its plan, what is weighed in, in which order."""
    room, y = page.size[0] - 2 * MARGIN, MARGIN + draw_head(page, job, words, units) + 3
    cautions = "Cautions. " + " ".join(CAUTIONS)
    end = page.size[1] - MARGIN - page.height_of(cautions, room, 7)
    page.check_bar(MARGIN, end - 4.5)
    page.words(cautions, MARGIN, end, room, 7, colour=SOFT)
    end -= 9
    smaller, turns = plan_scale(drawn, page.size), plan_turns(plan)
    left, _, right, _ = drawn.bounds
    wide = max((right - left) / smaller, NARROWEST)
    x, beside = MARGIN + wide + GAP, room - wide - GAP
    larger = Larger.fitting(drawn, (beside - BESIDE - GAP, end - y))
    if larger is not None and larger.worth and y + FILL_HIGH + rooms_height(page, turns, BESIDE) < end:
        # a can that stands high: all three beside each other
        draw_plan(page, drawn, MARGIN, y, smaller, units, wide)
        larger.draw(page, drawn, x + BESIDE + GAP, y, beside - BESIDE - GAP)
        y += draw_fill(page, job, weighed, x, y, BESIDE, units) + 4
        list_rooms(page, turns, x, y, BESIDE)
        return
    y2 = y + draw_plan(page, drawn, MARGIN, y, smaller, units, wide if beside >= BESIDE else room)
    if beside >= BESIDE:
        y = max(y2, y + draw_fill(page, job, weighed, x, y, beside, units)) + 4
    else:
        y = y2 + 4
        if y + FILL_HIGH > end:
            page.turn_over()
            y = MARGIN
        y += draw_fill(page, job, weighed, MARGIN, y, 0.6 * room, units) + 4
    if not turns:
        return
    larger = Larger.fitting(drawn, (room - LIST - GAP, end - y))
    if larger is not None and larger.worth and y + rooms_height(page, turns, LIST) <= end:
        list_rooms(page, turns, MARGIN, y, LIST)
        larger.draw(page, drawn, MARGIN + LIST + GAP, y, room - LIST - GAP)
        return
    if y + rooms_height(page, turns, room) > end:
        page.turn_over()
        y = MARGIN
    list_rooms(page, turns, MARGIN, y, room)


def draw_fill(page: Page, job: Job, weighed: Budget, x: float, y: float, wide: float, units: Units) -> float:
    """Write what is weighed in, with what is to be heeded beside it; return the height, mm."""
    start, can = y, job.can
    y += page.words("Can and fill", x, y, wide, 9, "sans-bold") + 0.5
    inside, wall = units.length(*can.inside, form="g"), units.length(can.wall, form="g")
    told = f"Inside {inside}, wall {wall}. Dividers {job.pattern.dividers}. {mirror_words(job)}"
    y += page.words(told, x, y, wide, 7.5) + 1
    heed = heeded(weighed, units)
    rows: list[tuple[str, ...]] = [("powder", "tapped to", "weigh in")]
    for each, (name, _, tap, _, filled) in zip(weighed.fills, fill_rows(weighed)[1:], strict=True):
        rows.append((name, f"{CANNOT}: see below", NONE) if each.too_dense else (name, tap, filled))
    under = {number: heed[row[0]] for number, row in enumerate(rows) if number and row[0] in heed}
    y += page.table(rows, x, y, (0.24 * wide, 0.28 * wide, 0.48 * wide), 7.5, under=under) + 1.5
    y += draw_totals(page, weighed, slice(0, 5), x, y, wide, units)
    return y - start


def draw_totals(
    page: Page, weighed: Budget, which: slice, x: float, y: float, wide: float, units: Units
) -> float:  # fmt: skip
    """Write some of the budget's totals, with what is to be heeded beside them; return the height, mm."""
    heed = heeded(weighed, units)
    # the soak stands with its step, the can that is needed is for whoever plans another
    totals = [row for row in budget_lines(weighed, units)[:-2] if row[0] != "Soak at least"][which]
    beside = {"Fill over solid steel": "fill density", "Bar left over": "bar"}
    under = {n: heed[beside[row[0]]] for n, row in enumerate(totals, start=1) if beside.get(row[0]) in heed}
    return page.table([("in all", ""), *totals], x, y, (0.42 * wide, 0.58 * wide), 7.5, under=under)


def heeded(weighed: Budget, units: Units) -> dict[str, str]:
    """Return what is to be heeded, by the line of the budget that it is about."""
    found: dict[str, str] = {}
    for remark in weighed.remarks:
        found[remark.about] = " ".join(filter(None, [found.get(remark.about), remark.words.told(units)]))
    return found
