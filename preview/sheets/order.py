"""The shop's numbered lists: how the can is closed before its first heat, how the blade is hardened and ground."""

from __future__ import annotations

from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.day.finishing import BEFORE_QUENCH, REGRIND
from preview.filling.budget import Budget
from preview.job.job import Job
from preview.sheets.paper import Page

PRACTICE = "(common practice, no published source)"
BY_DATA_SHEET = "temperatures and times by your steels' data sheets"


def closing_order(weighed: Budget) -> list[str]:
    """Return how the can is filled and closed before its first heat (common practice, no published source)."""
    printed = weighed.divider_share > 0
    lines = ["Can, lid and powder dry, and free from oil; one end or side of the can open."]
    if printed:
        lines += [
            "Stand the dividers in; fill each room, tap it down to its weight. Dividers stay in: their plastic burns "
            "out, and the void that is left is reckoned with.",
        ]
    else:
        lines += ["Fill and tap down to weight. Dividers set for the filling alone are drawn out now."]
    lines += [
        "Drill a small vent through the lid. Weld the lid on tight all round, in short runs so that the can stays "
        "cool; leave the vent open.",
    ]
    if printed:
        lines += [
            "Burn the plastic out first: in good air, vent uppermost and away from you, heat slowly until no more "
            "smoke comes of the vent. Never weld the vent shut over plastic.",
        ]
    lines += ["Heat 1 with the vent still open, turned away from everybody at the press: the first squeezes close it."]
    return lines


def work_order(job: Job, units: Units) -> list[str]:
    """Return in which order the blade is ground, hardened, etched and sharpened (common practice, unpublished)."""
    bar, blade, edge = job.history.bar, job.blade, job.grind.edge
    left = units.length(*REGRIND, between=" to ", form="g")
    thick = units.length(max(BEFORE_QUENCH, edge), form="g")
    lines = [
        f"Until the quench leave {left} a side on every size of the blade, and the edge {thick} thick at the least."
    ]
    if blade.thickness is not None and blade.thickness < bar.thickness - 0.01:
        lines.append(f"Grind the bar's faces down to {units.length(blade.thickness, form='.2f')}, as much off each.")
    if blade.tip_thickness is not None:
        lines.append(f"Taper it to {units.length(blade.tip_thickness, form='.2f')} at the tip.")
    lines.append("Cut the blade out and mark both faces by the templates.")
    ground = [side for side in SIDES if job.grind.bevel(side).is_ground]
    for side in ground:
        lines.append(f"{side.capitalize()} face: {job.grind.bevel(side).words(units)}, to two thirds of its height.")
    lines += [
        "Normalise: two or three heats, each a little lower, cooled in air.",
        f"Harden, then temper at once: {BY_DATA_SHEET}.",
        "Regrind to the table's sizes, each face in turn, dipped in water often: heat draws the temper.",
    ]
    if ground:
        lines.append("Etch for a moment and look: steel never comes back. Then go on to the line, each face in turn.")
    finish = ", dark finish after it" if job.etch.dark_finish is not None else ""
    edge_left = units.length(edge, form="g")
    lines.append(f"Leave the edge {edge_left} thick, etch {job.etch.minutes:g} min{finish}, and sharpen last.")
    return lines


def draw_order(page: Page, head: str, lines: list[str], x: float, y: float, wide: float) -> float:
    """Write a numbered list under its head; return its height, mm."""
    start = y
    y += page.words(head, x, y, wide, 9, "sans-bold") + 0.5
    for line in _numbered(lines):
        y += page.words(line, x, y, wide, 7.5) + 0.5
    return y - start


def order_height(page: Page, lines: list[str], wide: float) -> float:
    """Return the height (mm) that `draw_order` would take at the most."""
    return 2 * page.height_of("x", wide, 9) + sum(page.height_of(line, wide, 7.5) + 0.5 for line in _numbered(lines))


def _numbered(lines: list[str]) -> list[str]:
    return [f"{number}. {line}" for number, line in enumerate(lines, start=1)]
