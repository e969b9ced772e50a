"""The blade in its bar on paper: where to cut it out, and the section through it."""

from __future__ import annotations

import numpy as np

from preview.base.units import Units
from preview.job.job import Job
from preview.look.section import Section
from preview.sheets.paper import RULE, Page

MARK = (0.77, 0.24, 0.12)

LARGEST = 4.0
"""How many times its size a section is drawn at most."""


def draw_in_bar(page: Page, job: Job, x: float, y: float, width: float, units: Units) -> float:
    """Draw the blade in the forged bar with how far it lies from its sides; return the height, mm."""
    start, bar, outline = y, job.history.bar, job.blade.outline
    heel, edge, _ = job.blade.corner(bar)
    # from each side of the bar to the blade: heel end, tip end, edge side, spine side
    far = (
        heel + bar.length / 2, bar.length / 2 - heel - outline.length,
        edge + bar.width / 2, bar.width / 2 - edge - outline.height,
    )  # fmt: skip
    size = units.length(bar.length, bar.width, bar.thickness, form=".1f")
    y += page.words("Place of the blade in the bar", x, y, width, 9, "sans-bold") + 0.5
    y += page.words(f"Bar after the last step: {size}, cold.", x, y, width, 7.5) + 4
    scale = width / bar.length
    corner = x, y + bar.width * scale

    def on_page(along: float, across: float) -> tuple[float, float]:
        return corner[0] + (along + bar.length / 2) * scale, corner[1] - (across + bar.width / 2) * scale

    half = bar.length / 2, bar.width / 2
    ends = [(-half[0], -half[1]), (half[0], -half[1]), (half[0], half[1]), (-half[0], half[1])]
    page.line([on_page(*each) for each in ends], wide=0.3, closed=True)
    profile = outline.profile + np.array([heel, edge])
    inside = np.clip(profile, [-half[0], -half[1]], [half[0], half[1]])
    page.line([on_page(*each) for each in inside], wide=0.35, closed=True)
    tip, middle = heel + outline.length, edge + outline.height / 2
    first, second = heel + 0.3 * outline.length, heel + 0.2 * outline.length
    shown = (
        ((-half[0], middle), (heel, middle), -0.8), ((tip, middle), (half[0], middle), -0.8),
        ((first, edge), (first, -half[1]), 2.8), ((second, edge + outline.height), (second, half[1]), -0.8),
    )  # fmt: skip
    for distance, (one, other, off) in zip(far, shown, strict=True):
        ends = [on_page(*one), on_page(*other)]
        page.line(ends, wide=0.3, colour=MARK)
        # beside a line along the bar, beyond the bar's side at one across it
        at = (ends[0][0] + ends[1][0]) / 2, ends[1][1] + off
        page.label(units.number(max(distance, 0.0), ".1f"), *at, size=7, colour=MARK)
    page.line([on_page(heel, edge), on_page(tip, edge)], wide=0.12, colour=RULE, dash=(1.0, 0.8))
    y = corner[1] + 4.5
    told = "Red: how far the blade lies from the bar's sides. Heel end on the left, edge side below."
    sides = (("heel", heel, "tip", "heel"), ("edge line", edge, "spine", "edge"))
    from_middle = (
        f"{name} {units.length(abs(at), form='.1f')} towards the {ahead if at > 0 else behind}"
        for name, at, ahead, behind in sides
    )
    told = f"{told} From the bar's middle lines: {', '.join(from_middle)}."
    if job.blade.placement.words:
        told = f"{told} The bar lies {job.blade.placement.words}."
    y += page.words(told, x, y, width, 7.5)
    return y - start


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
