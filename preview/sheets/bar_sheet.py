"""The blade in its bar on paper: where to cut it out, and the section through it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.units import Units
from preview.job.job import Job
from preview.look.section import Section
from preview.sheets.paper import RULE, Page

MARK, MIDDLE = (0.77, 0.24, 0.12), (0.25, 0.6, 0.95)
DASHES = (3.0, 1.5)

LABEL = 9.0
"""Length (mm) of a line on paper that has room for its number."""

NO_ROOM = "The bar as measured does not hold the blade here: do not cut; search its place anew, or take a smaller one."

LARGEST = 4.0
"""How many times its size a section is drawn at most."""


def draw_in_bar(page: Page, job: Job, x: float, y: float, width: float, units: Units) -> float:
    """Draw the blade in the forged bar with how far it lies from its sides; return the height, mm.

    Of a bar in hand the sides are where it was measured to have them. Until then nothing is told from them, and the
    middle lines, from which it is marked, stand large.
    """
    start, outline = y, job.blade.outline
    size, known = bar_size(job), job.measured_bar is not None or not in_hand(job)
    heel, edge, _ = job.blade.corner(job.history.bar)
    far = Distances.of(job)
    y += page.words("Place of the blade in the bar", x, y, width, 9, "sans-bold") + 0.5
    y += page.words(bar_words(job, units), x, y, width, 7.5) + 4
    scale = width / size[0]
    corner = x, y + size[1] * scale

    def on_page(along: float, across: float) -> tuple[float, float]:
        return corner[0] + (along + size[0] / 2) * scale, corner[1] - (across + size[1] / 2) * scale

    half = size[0] / 2, size[1] / 2
    ends = [(-half[0], -half[1]), (half[0], -half[1]), (half[0], half[1]), (-half[0], half[1])]
    page.line([on_page(*each) for each in ends], wide=0.3, closed=True)
    profile = outline.profile + np.array([heel, edge])
    inside = np.clip(profile, [-half[0], -half[1]], [half[0], half[1]])
    page.line([on_page(*each) for each in inside], wide=0.35, closed=True)
    tip, middle = heel + outline.length, edge + outline.height / 2
    unsaid: list[str] = []
    if known:
        first, second = heel + 0.3 * outline.length, heel + 0.2 * outline.length
        shown = (
            ((-half[0], middle), (heel, middle), -0.8), ((tip, middle), (half[0], middle), -0.8),
            ((first, edge), (first, -half[1]), 2.8), ((second, edge + outline.height), (second, half[1]), -0.8),
        )  # fmt: skip
        for number, (distance, (one, other, off)) in enumerate(zip(far.all, shown, strict=True)):
            ends = [on_page(*one), on_page(*other)]
            page.line(ends, wide=0.3, colour=MARK)
            if number < 2 and distance * scale < LABEL:  # no room beside it
                unsaid.append(f"{('heel', 'tip')[number]} {units.length(max(distance, 0.0), form='.1f')}")
                continue
            # beside a line along the bar, beyond the bar's side at one across it
            at = (ends[0][0] + ends[1][0]) / 2, ends[1][1] + off
            page.label(units.number(max(distance, 0.0), ".1f"), *at, size=7, colour=MARK)
    else:
        page.line([on_page(-half[0], 0), on_page(half[0], 0)], wide=0.25, colour=MIDDLE, dash=DASHES)
        page.line([on_page(0, -half[1]), on_page(0, half[1])], wide=0.25, colour=MIDDLE, dash=DASHES)
    page.line([on_page(heel, edge), on_page(tip, edge)], wide=0.12, colour=RULE, dash=(1.0, 0.8))
    y = corner[1] + 4.5
    key = f"Red: how far the blade lies from the bar's sides{'; '.join(['', *unsaid])}."
    told = [key if known else "Blue, broken: the bar's middle lines."]
    told.append("Heel end on the left, edge side below.")
    if not in_hand(job):
        told.append(middle_words(job, units))
    if job.blade.placement.words:
        told.append(f"The bar lies {job.blade.placement.words}.")
    y += page.words(" ".join(told), x, y, width, 7.5)
    if in_hand(job):
        y += 1 + page.words(middle_words(job, units), x, y + 1, width, 10, "sans-bold")
    if known and min(far.all) < 0:
        y += 1 + page.words(NO_ROOM, x, y + 1, width, 7.5, "sans-bold", MARK)
    return y - start


@dataclass(frozen=True)
class Distances:
    """How far the blade lies from the bar's heel end, tip end, edge side and spine side, mm; less than 0 beyond it."""

    heel: float
    tip: float
    edge: float
    spine: float

    @classmethod
    def of(cls, job: Job) -> Distances:
        """Return those of a job, the middle of whose bar is where it was reckoned."""
        (long, wide), outline = bar_size(job), job.blade.outline
        heel, edge, _ = job.blade.corner(job.history.bar)
        return cls(
            heel + long / 2, long / 2 - heel - outline.length, edge + wide / 2, wide / 2 - edge - outline.height
        )  # fmt: skip

    @property
    def all(self) -> tuple[float, float, float, float]:
        """All four, in order."""
        return self.heel, self.tip, self.edge, self.spine


def in_hand(job: Job) -> bool:
    """Say whether the bar is forged: it was photographed."""
    return job.found is not None and job.found.of == "bar"


def bar_size(job: Job) -> tuple[float, float]:
    """Return length and width of the bar, mm: as measured once it is in hand, else as reckoned."""
    bar = job.history.bar
    return job.measured_bar if in_hand(job) and job.measured_bar else (bar.length, bar.width)


def bar_words(job: Job, units: Units) -> str:
    """Return how large the bar is, and how that is known."""
    size = units.length(*bar_size(job), job.history.bar.thickness, form=".1f")
    if not in_hand(job):
        return f"Bar after the last step: {size}, cold."
    if job.measured_bar is None:
        return f"Reckoned as {size}, not measured: mark it from its middle lines alone."
    return f"Your bar as measured, its thickness as reckoned: {size}."


def middle_words(job: Job, units: Units) -> str:
    """Return where heel and edge line lie from the bar's middle lines."""
    heel, edge, _ = job.blade.corner(job.history.bar)
    sides = (("heel", heel, "tip", "heel"), ("edge line", edge, "spine", "edge"))
    told = (
        f"{name} {units.length(abs(at), form='.1f')} towards the {ahead if at > 0 else behind}"
        for name, at, ahead, behind in sides
    )
    return f"From the bar's middle lines: {', '.join(told)}."


def draw_section(
    page: Page, cut: Section, station: float, x: float, y: float, width: float, units: Units
) -> float:  # fmt: skip
    """Draw the section at ``station`` (mm from the heel) with its thicknesses; return the height, mm."""
    start = y
    rows, columns = cut.rgb.shape[:2]
    wide = float(cut.across[-1] - cut.across[0])
    larger = min(width / wide, LARGEST)
    at = units.length(station, form=".0f")
    y += page.words(f"Cross-section {at} from the heel", x, y, width, 9, "sans-bold") + 1
    high = rows / columns * wide * larger
    page.picture(cut.rgb, x, y, wide * larger, high)
    y += high + 1.5
    thick = cut.right - cut.left
    on_blade = np.flatnonzero(np.isfinite(thick))
    told = f"Drawn {larger:.1f} times its size: edge on the left, right face above. {cut.key}"
    if len(on_blade):
        spine, middle = (
            units.length(float(thick[each]), form=".2f") for each in (on_blade[-1], on_blade[len(on_blade) // 2])
        )
        told += f" Thick at the spine {spine}, half way down {middle}."
    y += page.words(told, x, y, width, 7.5)
    return y - start
