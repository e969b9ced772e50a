"""The shop sheet's page of the marking templates: both faces at true size, to lay on the steel."""

from __future__ import annotations

import numpy as np
import shapely

from preview.base.units import Units
from preview.blade.outlines import Outline
from preview.job.job import Job
from preview.sheets.paper import CHECK_BAR, MARGIN, SOFT, Align, Page
from preview.sheets.template import Template

GRIND, MOTIF, MARKS = (0.77, 0.24, 0.12), (0.45, 0.45, 0.47), (0.2, 0.2, 0.2)

OFF = 0.8
"""Between a line and the figure that belongs to it, mm."""


def beyond(outline: Outline) -> tuple[float, float]:
    """Return how far the tang stands above the blade and below its edge's baseline, mm."""
    across = np.append(outline.tang_polygon[:, 1], (0.0, outline.height))
    return float(across.max()) - outline.height, -float(across.min())


def _upright(along: float) -> shapely.LineString:
    """Return a line across at ``along``, longer than any blade is high."""
    return shapely.LineString([(along, -1e3), (along, 1e3)])


def draw_templates(page: Page, job: Job, templates: tuple[Template, ...], units: Units) -> None:
    """Draw the page: each face's template at true size, under each other."""
    outline = job.blade.outline
    room = page.size[0] - 2 * MARGIN
    y = MARGIN
    y += page.words(f"Marking templates at true size: {job.title or 'blade'}", MARGIN, y, room, 11, "sans-bold") + 1
    page.check_bar(MARGIN, y + 1.5)
    apart = "10 mm" if units.sizes == "mm" else "half inch"
    legend = (
        "red: grind line, its height above the edge, and plunge  ·  grey: outline of the bright pattern  ·  "
        f"marks every {apart} from the heel"
    )
    page.words(legend, MARGIN + CHECK_BAR + 3, y + 4, room - CHECK_BAR - 3, 7, colour=SOFT)
    y += 11
    behind = min(outline.tang_length, room - outline.length)  # what of the tang this paper holds
    above, below = beyond(outline)
    heelwards: tuple[Align, Align] = ("right", "left")  # where a word ends that runs towards the heel, by mirrored
    for each in templates:
        mirrored = each.side == "left"
        left = (page.size[0] - outline.length + (-behind if mirrored else behind)) / 2
        low = y + 10 + above + outline.height  # the edge's baseline

        def on_page(points: np.ndarray, mirrored: bool = mirrored, left: float = left, low: float = low) -> np.ndarray:
            along = outline.length - points[:, 0] if mirrored else points[:, 0]
            return np.stack([left + along, low - points[:, 1]], axis=1)

        page.words(f"{each.side.capitalize()} face, edge down", MARGIN, y, room, 8, "sans-bold")
        for number, station in enumerate(each.stations):
            spine, named = float(outline.spine(np.array(station))), number % each.named == 0
            tick = [(station, spine), (station, spine + (3.0 if named else 1.5))]
            page.line(on_page(np.array(tick)), wide=0.15, colour=MARKS)
            if named:
                ((x, top),) = on_page(np.array([(station, spine + 4.2)]))
                page.label(f"{units.shown(float(station), 'mm'):.3g}", x, top)
        for line in each.motif:
            page.line(on_page(line), wide=0.12, colour=MOTIF)
        for line in each.grind_lines:
            page.line(on_page(line), wide=0.3, colour=GRIND)
        if each.grind_lines:
            start = min((line[line[:, 0].argmin()] for line in each.grind_lines), key=lambda at: float(at[0]))
            high = float(job.ground.bevel(each.side, start[:1]).height[0])
            ((x, y2),) = on_page(start[None] - (OFF, 0.9))
            page.label(units.number(high, ".1f"), x, y2, 8, "sans-bold", GRIND, heelwards[mirrored])
        for place, told, aside in zip(each.plunge or (), ("plunge begins", "in full from"), (-OFF, OFF), strict=False):
            rise = [(place, float(outline.edge(np.array(place)))), (place, float(outline.spine(np.array(place))))]
            page.line(on_page(np.array(rise)), wide=0.2, colour=GRIND, dash=(1.5, 1.0))
            ((x, y2),) = on_page(np.array([(place + aside, rise[0][1] - 3.2)]))
            side = heelwards[mirrored == (aside < 0)]
            page.label(f"{told} {units.number(place, '.1f')}", x, y2, 7, colour=GRIND, align=side)
        page.line(on_page(each.outline), wide=0.35, closed=True)
        held = shapely.LineString(each.tang).intersection(shapely.box(-behind, -1e3, 0, 1e3))
        for part in shapely.get_parts(held):
            page.line(on_page(shapely.get_coordinates(part)), wide=0.35)
        if behind < outline.tang_length:
            ((x, middle),) = on_page(np.array([(-behind / 2, float(each.tang[:, 1].mean()))]))
            over = units.length(outline.tang_length - behind, form=".1f")
            page.label(f"the tang goes on beyond the paper, {over} more", x, middle)
            _, low_end, _, high_end = shapely.LineString(each.tang).intersection(_upright(-behind)).bounds
            ((x, top), (_, foot)) = on_page(np.array([(-behind, high_end), (-behind, low_end)]))
            page.line_of_break(x, top, foot - top)
        y = low + below + 8
