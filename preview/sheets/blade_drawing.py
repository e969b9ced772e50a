"""A small drawing that says what the parts of a blade are called, for a client who knows none of the words."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Units
from preview.blade.grind import SIDES
from preview.job.job import Job
from preview.sheets.paper import RULE, SOFT, Page

HIGH = 22.0
"""Most height of the blade, mm; its names come on top."""

SECTION = 26.0
"""Width that the section and its names take, mm."""

NAMES, BELOW, SIZE = 5.0, 10.0, 8
"""Room above for a line of names and below for two, mm; and the size of their type, points."""

HEEL, CHOIL, LINE_NAME = 14.0, 10.0, 34.0
"""Half the widths of the names of heel, choil and grind line, mm."""

PLACES = 600
STEEL = (0.86, 0.85, 0.83)
DASH = (1.4, 0.9)


def drawing_high(job: Job, wide: float) -> float:
    """Return the height (mm) that `blade_drawing` takes."""
    return job.blade.outline.height * _scale(job, wide) + NAMES + BELOW


def _scale(job: Job, wide: float) -> float:
    outline = job.blade.outline
    return min((wide - SECTION - 12) / outline.length, HIGH / outline.height)


def blade_drawing(page: Page, job: Job, x: float, y: float, wide: float, units: Units) -> None:
    """Draw a blade's right face with its parts named, and a cut through its middle.

    ``x``, ``y`` is the upper left corner, ``wide`` what it may take, mm.
    """
    outline, ground = job.blade.outline, job.ground
    scale = _scale(job, wide)
    top, high = y + NAMES, outline.height * scale
    along = np.linspace(0, outline.length, PLACES)
    edge, spine = outline.rims(along)

    def at(along: Array | float, across: Array | float) -> Array:
        return np.stack([x + np.asarray(along) * scale, top + high - np.asarray(across) * scale], axis=-1)

    rim = np.concatenate([at(along, edge), at(along, spine)[::-1]])
    page.area([rim], STEEL)
    page.line(rim, wide=0.25, closed=True)
    bevel = ground.bevel("right", along)
    line = outline.bevel_edge(along) + bevel.height
    seen = (line < outline.spine(along)) & (bevel.depth > 0) & bevel.bevel.is_ground
    if seen.sum() > 1:
        page.line(at(along[seen], line[seen]), wide=0.25, dash=DASH)
        middle = 0.4 * outline.length
        # under the lowest of the line and the spine that it stands below, so that all of it is on the blade
        over = np.minimum(line, outline.spine(along))[np.abs(along - middle) * scale < LINE_NAME]
        name = at(middle, float(over.min()))
        page.label("grind line: below it the steel thins to the edge", name[0], name[1] + 3.4, SIZE)
    tip = at(outline.length, float(edge[-1]))
    page.label("tip", tip[0] + 4, tip[1] + 1, SIZE)
    page.label("spine", x + 0.3 * outline.length * scale, top - 1.2, SIZE)
    below = y + NAMES + high + 3.4
    page.label("edge", x + 0.5 * outline.length * scale, below, SIZE)
    if outline.choil_span is not None:
        page.label("choil, a notch", x + max(sum(outline.choil_span) / 2 * scale, CHOIL), below, SIZE)
    _length(page, x, below + 2.2, outline.length * scale, units.length(outline.length, form="g"))
    _section(page, job, x + outline.length * scale + 14, top, scale, units)


def _length(page: Page, x: float, y: float, wide: float, told: str) -> None:
    """Draw a line of dimension from heel to tip, and name the end from which it counts."""
    page.line([(x, y), (x + wide, y)], wide=0.15, colour=SOFT)
    for end in (x, x + wide):
        page.line([(end, y - 1), (end, y + 1)], wide=0.15, colour=SOFT)
    page.label("heel, the blunt end", x + HEEL, y + 3.4, SIZE)
    page.label(f"{told} from heel to tip", x + wide / 2 + HEEL, y + 3.4, SIZE)


def _section(page: Page, job: Job, x: float, top: float, scale: float, units: Units) -> None:
    """Draw a cut through the blade's middle, its spine up, from ``x`` (mm) on; what is thin is drawn as thin."""
    outline, ground = job.blade.outline, job.ground
    middle = outline.length / 2
    low, high = (float(curve(np.array(middle))) for curve in (outline.edge, outline.spine))
    across = np.linspace(low, high, PLACES)
    right, left = (ground.stand(side, np.full_like(across, middle), across) for side in SIDES)
    centre = x + scale * float(max(right.max(), left.max()))
    down = top + (outline.height - across) * scale
    rim = np.concatenate(
        [np.stack([centre + right * scale, down], 1), np.stack([centre - left * scale, down], 1)[::-1]]
    )
    page.area([rim], STEEL)
    page.line(rim, wide=0.2, closed=True)
    line, _ = ground.mid_grind("right", job.grind.right)
    page.label("cut across", centre + 4, top - 1.2, SIZE)
    if job.grind.right.is_ground and line < high - low:
        level = top + (outline.height - low - line) * scale
        page.line([(centre + 2, level), (centre + 5, level)], wide=0.15, colour=RULE)
        page.line([(centre + 4, level), (centre + 4, top + (outline.height - low) * scale)], wide=0.15, colour=SOFT)
        told = units.length(line, form=".0f")
        page.label(told, centre + 10, (level + top + (outline.height - low) * scale) / 2 + 1, SIZE)
