"""The grind as a table of the shop's sheet: how thick and how steep it is from heel to tip."""

from __future__ import annotations

import numpy as np

from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.job.job import Job
from preview.sheets.head import unit_name
from preview.sheets.paper import Page
from preview.sheets.steel_words import grind_words
from preview.sheets.thinning import Thinning

GROUND_PLACES = 6
"""Places along the blade in the table."""

COLUMNS = (0.2, 0.14, 0.16, 0.17, 0.16, 0.17)
"""Widths, as shares of the table's."""


def draw_grind(page: Page, job: Job, x: float, y: float, wide: float, units: Units) -> float:
    """Write the grind's head and its table, their upper left corner at ``x``, ``y``; return the height, mm."""
    start = y
    y += page.words(f"Grind: {grind_words(job, units)}", x, y, wide, 9, "sans-bold") + 0.5
    if which := Thinning.of(job).which_words(units):
        y += page.words(which, x, y, wide, 7.5) + 0.5
    y += page.table(_rows(job, units), x, y, tuple(share * wide for share in COLUMNS), 7.5)
    return y - start


def _rows(job: Job, units: Units) -> list[tuple[str, ...]]:
    outline, ground = job.blade.outline, job.ground
    places = np.linspace(ground.heel_flat + ground.grind.plunge, 0.95 * outline.length, GROUND_PLACES)
    thickness = ground.at_spine(places)
    lines = {side: ground.bevel(side, places) for side in SIDES}
    spine = outline.spine(places)
    sides = ("right, ° a side", "right line", "left, ° a side", "left line")
    rows: list[tuple[str, ...]] = [(f"{unit_name(units)} from the heel", "spine, ground", *sides)]
    for n, place in enumerate(places):
        cells = [units.number(float(place), ".0f"), units.number(float(thickness[n]), ".2f")]
        for side in SIDES:
            if not job.grind.bevel(side).is_ground:
                cells += ["flat", ""]
                continue
            height = lines[side].height[n]
            reach = float(outline.edge_distance(places[n : n + 1], spine[n : n + 1])[0])
            line = f"{units.number(height, '.1f')} from edge" if height < reach else "to the spine"
            cells += [f"{lines[side].angle[n]:.2f}", line]
        rows.append(tuple(cells))
    return rows
