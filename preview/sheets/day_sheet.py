"""The shop sheet's pages for the day at the forge: a table to work down, with places to write."""

from __future__ import annotations

from preview.base.units import Units
from preview.day.plan import Plan
from preview.day.plan_rows import plan_sums, plan_tables, plan_verdict
from preview.day.plan_words import PLAN_NOTES, after_forging
from preview.sheets.paper import MARGIN, Page

SHARES = (0.13, 0.09, 0.08, 0.07, 0.05, 0.08, 0.07, 0.13, 0.08, 0.06, 0.16)
"""Of the table's width, column by column; the last is for what was read."""

ROWS = 14
"""Passes of one table at the most, so that it goes on a page."""

ROW, LINE, HEAD = 9.0, 5.5, 14.0
"""Millimetres that a row, a line of words and a table's head take at the most."""


def draw_day(page: Page, plan: Plan, units: Units) -> None:
    """Write the plan on pages of its own; ends on one that is begun."""
    room, low = page.size[0] - 2 * MARGIN, page.size[1] - MARGIN
    y = MARGIN
    y += page.words(f"The day at the forge. {plan_verdict(plan)}", MARGIN, y, room, 9, "sans-bold") + 1
    for step in plan_tables(plan, units):
        heads, *passes = [(*row[:-1], " ") for row in step.rows] or [()]
        for first in range(0, max(len(passes), 1), ROWS):
            rows = passes[first : first + ROWS]
            said = step.lines if first + ROWS >= len(passes) else []
            if y > MARGIN and y + HEAD + ROW * len(rows) + LINE * len(said) > low:
                page.turn_over()
                y = MARGIN
            y += page.words(step.head, MARGIN, y, room, 8, "sans-bold") + 0.5
            if rows:
                table = [(*heads[:-1], "read"), *rows]
                y += page.table(table, MARGIN, y, tuple(share * room for share in SHARES), 7, least=6.5) + 1
            for line in said:
                y += page.words(f"· {line}", MARGIN, y, room, 7) + 0.3
            y += 1.5
    if y + 6 * LINE > low:
        page.turn_over()
        y = MARGIN
    for line in (plan_sums(plan), *PLAN_NOTES):
        y += page.words(line, MARGIN, y, room, 7) + 0.5
    after = [f"· {line}" for line in after_forging(plan, units)]
    if y + HEAD + sum(page.height_of(line, room, 7) + 0.3 for line in after) > low:
        page.turn_over()
        y = MARGIN
    y += 1.5 + page.words("After forging", MARGIN, y + 1.5, room, 8, "sans-bold") + 0.5
    for line in after:
        y += page.words(line, MARGIN, y, room, 7) + 0.3
