"""The shop's numbered lists: how the can is closed before its first heat, how the blade is cut, hardened and ground."""

from __future__ import annotations

from preview.base.units import Units
from preview.blade.grind import SIDES, Side
from preview.day.finishing import BEFORE_QUENCH, REGRIND
from preview.filling.budget import Budget
from preview.job.job import Job
from preview.sheets.paper import Page
from preview.sheets.thinning import Thinning

PRACTICE = "(common practice, no published source)"
BY_DATA_SHEET = "temperatures and times by your steels' data sheets"

FIRST = 2 / 3
"""Share of a bevel's height that is ground before the quench (common practice, no published source)."""


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
    """Return in which order the blade is cut, ground, hardened, etched and sharpened (common practice, unpublished).

    The outline comes before the faces: thinning them takes the scribed lines and the light etch off.
    """
    edge, thinning = job.grind.edge, Thinning.of(job)
    left = units.length(*REGRIND, between=" to ", form="g")
    thick = units.length(max(BEFORE_QUENCH, edge), form="g")
    lines = [
        "While the light etch shows the pattern, scribe middle lines and outline on both faces, by the last page.",
        f"Saw the blade out, {left} outside the line: that much is ground off after the quench.",
        *thinning.before_words(units),
        f"Mark the bevels by the templates; leave the edge {thick} thick at the least until the quench.",
    ]
    ground = [side for side in SIDES if job.grind.bevel(side).is_ground]
    bevels = [_bevel_words(job, side, units) for side in ground]
    if len(bevels) == 2 and bevels[0] == bevels[1]:
        lines.append(f"Both faces, {bevels[0]}")
    else:
        lines += [f"{side.capitalize()} face, {words}" for side, words in zip(ground, bevels, strict=True)]
    lines += [
        "Normalise: two or three heats, each a little lower, cooled in air.",
        f"Harden, then temper at once: {BY_DATA_SHEET}.",
        "Regrind to the table's sizes, each face in turn, dipped in water often: heat draws the temper."
        f"{thinning.after_words(units)}",
    ]
    if ground:
        lines.append("Etch for a moment and look: steel never comes back. Then go on to the line, each face in turn.")
    finish = ", dark finish after it" if job.etch.dark_finish is not None else ""
    edge_left = units.length(edge, form="g")
    lines.append(f"Leave the edge {edge_left} thick, etch {job.etch.minutes:g} min{finish}, and sharpen last.")
    return lines


def _bevel_words(job: Job, side: Side, units: Units) -> str:
    """Return how far up a face's bevel is ground before the quench, and how far in the end."""
    bevel = job.grind.bevel(side)
    height, _ = job.ground.mid_grind(side, bevel)
    first, line = (units.length(each, form=".0f") for each in (FIRST * height, height))
    rest = f"the line at {line} comes" if height < job.blade.outline.height else "the rest comes"
    return f"{bevel.words(units)}: before the quench only to {first} at mid-blade; {rest} in steps after it."


def draw_order(page: Page, head: str, lines: list[str], x: float, y: float, wide: float) -> float:
    """Write a numbered list under its head; return its height, mm."""
    start = y
    y += page.words(head, x, y, wide, 9, "sans-bold") + 0.5
    for line in _numbered(lines):
        y += page.words(line, x, y, wide, 7.5) + 0.5
    return y - start


def order_height(page: Page, head: str, lines: list[str], wide: float) -> float:
    """Return the height (mm) that `draw_order` takes."""
    return (
        page.height_of(head, wide, 9, "sans-bold") + 0.5
        + sum(page.height_of(line, wide, 7.5) + 0.5 for line in _numbered(lines))
    )  # fmt: skip


def _numbered(lines: list[str]) -> list[str]:
    return [f"{number}. {line}" for number, line in enumerate(lines, start=1)]
