"""The shop sheet's page for several blades of one kind: the bar with its blanks, cans to tick off, hours and cost."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Units
from preview.day.batch import Batch
from preview.day.batch_words import batch_lines, batch_verdict, cost_rows, time_rows
from preview.sheets.paper import MARGIN, SOFT, Page

GAP = 8.0
"""Between the two tables that stand side by side, mm."""

SHARES = (0.46, 0.16, 0.2, 0.18)
"""Of a table's width, column by column."""

MARK = (0.77, 0.24, 0.12)


def draw_batch(page: Page, batch: Batch, profile: Array, units: Units) -> None:
    """Draw the page; ``profile`` is the blade's outline with its tang, ``(n, 2)``, mm."""
    room, y, blanks = page.size[0] - 2 * MARGIN, MARGIN, batch.blanks
    y += page.words(f"Several of one kind. {batch_verdict(batch, units)}", MARGIN, y, room, 9, "sans-bold") + 1
    scale = min(1.0, room / blanks.length)
    told = "true size" if scale == 1 else f"{scale:.0%} of true size: the marking templates are at true size"
    y += page.words(f"The bar with its blanks, edge side down, {told}", MARGIN, y, room, 7.5, colour=SOFT) + 1

    def on_page(points: Array) -> Array:
        return np.asarray(np.array([MARGIN, y + blanks.width * scale]) + points * [scale, -scale])

    corners = np.array([[0, 0], [blanks.length, 0], [blanks.length, blanks.width], [0, blanks.width]])
    page.line(on_page(corners), wide=0.3, colour=SOFT, closed=True)
    for number, lay in enumerate(blanks.lays, start=1):
        outline = on_page(lay.placed(profile))
        page.line(outline, wide=0.35, colour=MARK, closed=True)
        x, middle = outline[outline[:, 0].argsort()[[0, -1]]].mean(axis=0)
        page.words(str(number), x - 2, middle - 2, 8, 9, "sans-bold")
    y += blanks.width * scale + 3
    for line in batch_lines(batch, units):
        y += page.words(f"· {line}", MARGIN, y, room, 7) + 0.3
    cans = "   ".join(f"[ ] can {number}" for number in range(1, batch.cans + 1))
    y += 1.5 + page.words(f"Forged and marked: {cans}", MARGIN, y + 1.5, room, 7.5) + 2
    wide = (room - GAP) / 2
    for at, rows in enumerate((time_rows(batch), cost_rows(batch))):
        page.table(rows, MARGIN + at * (wide + GAP), y, tuple(share * wide for share in SHARES), 7, least=5.5)
