"""The sheet for the shop: fill, targets hot and cold with room for readings, the grind by station, 1:1 templates."""

from __future__ import annotations

import numpy as np
import shapely

from preview.base.cautions import CAUTIONS
from preview.base.errors import RequestError
from preview.base.units import Units, mm, say
from preview.blade.grind import SIDES
from preview.blade.outlines import Outline
from preview.filling.budget import Budget
from preview.filling.budget_words import budget_lines, fill_rows, stage_rows
from preview.job.job import Job
from preview.sheets.client import SheetWords, grind_words
from preview.sheets.paper import CHECK_BAR, MARGIN, SOFT, Page
from preview.sheets.template import Template

GROUND_PLACES = 6
"""Places along the blade in the grind table."""

GRIND, MOTIF, MARKS = (0.77, 0.24, 0.12), (0.45, 0.45, 0.47), (0.2, 0.2, 0.2)


def shop_sheet(
    job: Job,
    weighed: Budget,
    templates: tuple[Template, ...],
    words: SheetWords,
    size: tuple[float, float],
    units: Units,
) -> bytes:
    """Return the shop's sheet as a PDF of two pages, on paper of ``size`` (width and height, mm), told in ``units``.

    Raises
    ------
    RequestError
        If the blade does not fit the paper at true size, with the overrun.
    """
    outline = job.blade.outline
    room, tall = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN
    need = len(templates) * (outline.height + sum(_beyond(outline)) + 24) + 16
    if outline.length > room or need > tall:
        over = max(outline.length - room, need - tall)
        needed = "the templates at true size need {} more than this paper has; larger paper is needed"
        raise RequestError.at("paper", say(needed, mm(over, form=".0f")))
    page = Page(size, job.title or "Shop sheet")
    _plan(page, job, weighed, words, units)
    page.turn_over()
    _templates(page, job, templates, units)
    return page.finish()


def _plan(page: Page, job: Job, weighed: Budget, words: SheetWords, units: Units) -> None:
    room = page.size[0] - 2 * MARGIN
    y = MARGIN
    y += page.words(f"Shop sheet: {job.title or 'blade'}", MARGIN, y, room, 13, "sans-bold")
    sizes = f"sizes in {_named(units)}, cold unless it says hot"
    line = "  ·  ".join(filter(None, [words.maker, words.date, sizes]))
    y += page.words(line, MARGIN, y, room, 7.5, colour=SOFT) + 2

    left, gap = 0.37 * room, 6.0
    low = y
    can = job.can
    y += page.words("Can and fill", MARGIN, y, left, 9, "sans-bold") + 0.5
    inside, wall = units.length(*can.inside, form="g"), units.length(can.wall, form="g")
    y += page.words(f"Inside {inside}, wall {wall}. Dividers {job.pattern.dividers}.", MARGIN, y, left, 7.5) + 1
    rows: list[tuple[str, ...]] = [
        ("powder", "tapped to", "weigh in"),
        *((name, tap, fill) for name, _, tap, fill in fill_rows(weighed)[1:]),
    ]
    y += page.table(rows, MARGIN, y, (0.24 * left, 0.26 * left, 0.5 * left), 7.5) + 1.5
    y += page.table([("in all", ""), *budget_lines(weighed, units)[:-2]], MARGIN, y, (0.5 * left, 0.5 * left), 7.5)

    x, wide = MARGIN + left + gap, room - left - gap
    y2 = low
    y2 += page.words("Step by step", x, y2, wide, 9, "sans-bold") + 0.5
    heads = ("step", "heat", "target, cold", f"read at {units.heat(weighed.read_at, form='.0f')}", "your reading")
    rows = [heads]
    for step, (told, cold, hot, *_) in zip(job.forging, stage_rows(weighed, units)[1:], strict=True):
        heat = f"{units.heat(step.heat.temperature)}, {step.heat.minutes:g} min" if step.heat else ""
        rows.append((told, heat, cold, hot, " "))
    y2 += page.table(rows, x, y2, tuple(share * wide for share in (0.3, 0.15, 0.19, 0.19, 0.17)), 7.5, least=9) + 3
    y2 += page.words(f"Grind: {grind_words(job, units)}", x, y2, wide, 9, "sans-bold") + 0.5
    columns = tuple(share * wide for share in (0.23, 0.15, 0.15, 0.16, 0.15, 0.16))
    y2 += page.table(_grind_rows(job, units), x, y2, columns, 7.5)
    etch = f"Etch {job.etch.minutes:g} min" + ("; dark finish after it" if job.etch.dark_finish is not None else "")
    y2 += 2
    edge = units.length(job.grind.edge, form="g")
    y2 += page.words(f"{etch}. Edge before sharpening {edge}.", x, y2, wide, 7.5)

    y = max(y, y2) + 3
    text = "Cautions. " + " ".join(CAUTIONS)
    y = max(y, page.size[1] - MARGIN - page.height_of(text, room, 7))
    page.words(text, MARGIN, y, room, 7, colour=SOFT)


def _beyond(outline: Outline) -> tuple[float, float]:
    """Return how far the tang stands above the blade and below its edge's baseline, mm."""
    across = np.append(outline.tang_polygon[:, 1], (0.0, outline.height))
    return float(across.max()) - outline.height, -float(across.min())


def _named(units: Units) -> str:
    return "inches" if units.sizes == "inch" else "mm"


def _grind_rows(job: Job, units: Units) -> list[tuple[str, ...]]:
    outline, ground = job.blade.outline, job.ground
    places = np.linspace(ground.heel_flat + ground.grind.plunge, 0.95 * outline.length, GROUND_PLACES)
    thickness = ground.unground(places)
    lines = {side: ground.bevel(side, places) for side in SIDES}
    spine = outline.spine(places)
    sides = ("right, ° a side", "right line", "left, ° a side", "left line")
    rows: list[tuple[str, ...]] = [(f"{_named(units)} from the heel", "spine thick", *sides)]
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


def _templates(page: Page, job: Job, templates: tuple[Template, ...], units: Units) -> None:
    outline = job.blade.outline
    room = page.size[0] - 2 * MARGIN
    y = MARGIN
    y += page.words(f"Marking templates at true size: {job.title or 'blade'}", MARGIN, y, room, 11, "sans-bold") + 1
    page.check_bar(MARGIN, y + 1.5)
    apart = "10 mm" if units.sizes == "mm" else "half inch"
    legend = f"red: grind line and plunge  ·  grey: outline of the bright pattern  ·  marks every {apart} from the heel"
    page.words(legend, MARGIN + CHECK_BAR + 3, y + 4, room - CHECK_BAR - 3, 7, colour=SOFT)
    y += 11
    behind = min(outline.tang_length, room - outline.length)  # what of the tang this paper holds
    above, below = _beyond(outline)
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
        for place in each.plunge or ():
            rise = [(place, float(outline.edge(np.array(place)))), (place, float(outline.spine(np.array(place))))]
            page.line(on_page(np.array(rise)), wide=0.2, colour=GRIND, dash=(1.5, 1.0))
        page.line(on_page(each.outline), wide=0.35, closed=True)
        held = shapely.LineString(each.tang).intersection(shapely.box(-behind, -1e3, 0, 1e3))
        for part in shapely.get_parts(held):
            page.line(on_page(shapely.get_coordinates(part)), wide=0.35)
        if behind < outline.tang_length:
            ((x, middle),) = on_page(np.array([(-behind / 2, float(each.tang[:, 1].mean()))]))
            over = units.length(outline.tang_length - behind, form=".1f")
            page.label(f"the tang goes on beyond the paper, {over} more", x, middle)
        y = low + below + 8
