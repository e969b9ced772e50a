"""The pattern: laid where no face shows it, or finer than the eye or the heats let it be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil, hypot

import numpy as np

from preview.advice.advice import Advice, changed, weight
from preview.advice.bare import is_bare
from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.shapes import FLAT
from preview.base.units import mm, say
from preview.blade.blade import Placement
from preview.face.numbers import FINEST_SEEN
from preview.filling.mesh import can_points
from preview.job.job import Job
from preview.pattern.fineness import LADDER, share_below
from preview.pattern.pattern import box_of
from preview.pattern.raster import Raster
from preview.pipeline import laid_raster

SPOTS = (240, 80)
CELL = 1.0
"""Cells (mm) of the can's plan on which is counted what shows."""

MUCH = {True: 0.1, False: 0.5}
"""Share of the pattern that has to fall beside the face to be spoken of, where the picture has a place of its own, and
where it fills the can, so that its rim is meant to fall off."""

WHOLE = 0.02
"""Share that may fall beside the face where the picture is called whole."""

SMALLER = tuple(0.95**number for number in range(30))
"""Sizes of the picture that are tried, over its own."""

FINE = 0.05
"""Share of a powder's pattern that has to be too fine to be spoken of."""

MISPLACED = 0.1
"""Share of the pattern that moving the blade has to bring onto the face to be spoken of."""

RUNG = 1.15
"""A finest width is a rung of `preview.pattern.fineness.LADDER`: the width that shows may lie one above it."""

FADED = 1.349
"""Standard deviations of the nickel's spread that a line is wide whose middle keeps half of its nickel: erf of this
over 2 sqrt(2) is a half."""


@kept
def _plan(raster: Raster, bright: tuple[str, ...], inside: tuple[float, float]) -> Array:
    """Return how much bright powder, in cells of the raster, each cell of the can's plan holds: along, across."""
    shares = raster.share_of(bright)
    rows, columns = shares.shape
    along = (np.arange(columns) - (columns - 1) / 2) * raster.cell[0]
    across = ((rows - 1) / 2 - np.arange(rows)) * raster.cell[1]
    to_along, to_across = (
        (np.digitize(place, edges)[:, None] == np.arange(1, len(edges))).astype(np.float32)
        for place, edges in zip((along, across), _edges(inside), strict=True)
    )
    return np.asarray(to_along.T @ shares.T @ to_across, dtype=float)


@kept
def _edges(inside: tuple[float, float]) -> tuple[Array, Array]:
    along, across = (np.linspace(-size / 2, size / 2, ceil(size / CELL) + 1) for size in inside)
    return along, across


def _middles(inside: tuple[float, float]) -> tuple[Array, Array]:
    along, across = ((edges[1:] + edges[:-1]) / 2 for edges in _edges(inside))
    return along, across


def _shown(job: Job) -> Array:
    """Return which cells of the can's plan (along, across) show on the right face."""
    from scipy.ndimage import binary_closing

    x, y, _, metal = can_points(job, "right", SPOTS)
    counts, _, _ = np.histogram2d(x[metal], y[metal], bins=_edges(job.pattern_area))
    return np.asarray(binary_closing(np.pad(counts > 0, 1))[1:-1, 1:-1])


def beside(job: Job, off: float | None) -> Iterator[Advice]:
    """Yield where to lay the picture, of whose bright pattern the share ``off`` falls beside the right face."""
    pattern = job.pattern
    own_place = pattern.size is not None
    surround = pattern.surround or job.powders[0].name
    if off is None or off <= MUCH[own_place] or job.picture_path.suffix.lower() in FLAT:
        return
    if own_place and surround in job.bright_powders:
        return  # what lies round the picture is its pattern too
    plan, shown = _plan(laid_raster(job), job.bright_powders, job.pattern_area), _shown(job)
    low, high = 0, len(SMALLER)
    found: tuple[float, tuple[float, float]] | None = None
    while low < high:  # the largest that shows whole
        middle = (low + high) // 2
        at = _place(job, plan, shown, SMALLER[middle])
        if at is None:
            low = middle + 1
        else:
            high, found = middle, (SMALLER[middle], at)
    if found is None:
        return
    scale, at = found
    width, height = (round(scale * size, 1) for size in pattern.size or job.pattern_area)
    laid = changed(job, "pattern", size=(width, height), at=at)
    if laid is None:
        return
    words = "{} of the bright pattern falls beside the finished face"
    if scale == 1:
        by = mm(hypot(at[0] - pattern.at[0], at[1] - pattern.at[1]), form=".0f")
        sentence, action = say(f"{words}: laid {{}} from there it would show whole.", f"{off:.0%}", by), say(
            "Move the picture by {}", by
        )  # fmt: skip
    else:
        sentence = say(f"{words}: laid smaller, where the blade comes out, it would show whole.", f"{off:.0%}")
        action = say("Lay it {} large, where it shows", mm(width, height, form=".0f"))
    yield Advice(sentence, off * weight(job.can), action, laid)


def _place(job: Job, plan: Array, shown: Array, scale: float) -> tuple[float, float] | None:
    """Return the place nearest to the picture's own (mm) where it shows whole, ``scale`` times as large, if any."""
    at, area = job.pattern.at, job.pattern_area
    middles = _middles(area)
    # the picture's bright cells about its own middle, over offsets of the can's cells
    offsets = [
        np.rint(scale * (middle - start) / (middle[1] - middle[0])).astype(int)
        for middle, start in zip(middles, at, strict=True)
    ]
    kernel = np.zeros([2 * len(middle) + 1 for middle in middles])
    reach = [np.clip(offset + len(offset), 0, 2 * len(offset)) for offset in offsets]
    np.add.at(kernel, (reach[0][:, None], reach[1][None, :]), plan)
    full = [count + beside - 1 for count, beside in zip(shown.shape, kernel.shape, strict=True)]
    laid = np.fft.irfft2(np.fft.rfft2(shown, full) * np.fft.rfft2(kernel[::-1, ::-1], full), full)
    laid = laid[tuple(slice(len(middle), 2 * len(middle)) for middle in middles)]
    whole = laid >= (1 - WHOLE) * plan.sum()
    box = box_of(job.pattern.size or area, job.pattern.turn)
    for axis, (middle, size, room) in enumerate(zip(middles, box, area, strict=True)):
        inside = np.abs(middle) <= max((room - scale * size) / 2, 0) + 1e-9
        whole &= inside[:, None] if axis == 0 else inside[None, :]
    along, across = np.nonzero(whole)
    if not along.size:
        return None
    far = np.hypot(middles[0][along] - at[0], middles[1][across] - at[1])
    best = int(far.argmin())
    return round(float(middles[0][along[best]]), 1), round(float(middles[1][across[best]]), 1)


def off_middle(job: Job) -> Iterator[Advice]:
    """Yield that the blade would show more of the pattern in the middle of the bar."""
    place = job.blade.placement
    if not job.pattern.direction.upright or (place.heel is None and place.edge is None):
        return
    middle = changed(job, "blade", placement=Placement(mid_plane=place.mid_plane))
    if middle is None:
        return
    plan = _plan(laid_raster(job), job.bright_powders, job.pattern_area)
    now, then = (float((plan * _shown(each)).sum() / max(plan.sum(), 1e-9)) for each in (job, middle))
    if then - now < MISPLACED or is_bare(middle):
        return
    yield Advice(
        say("The blade lies off the pattern's middle: it shows {} of the bright pattern, and in the middle of the bar "
            "{}.", f"{now:.0%}", f"{then:.0%}"),
        (then - now) * weight(job.can), say("Lay the blade in the middle"), middle,
    )  # fmt: skip


def too_fine(job: Job, unseen: Mapping[str, float], finest: Mapping[str, float]) -> Iterator[Advice]:
    """Yield how much coarser lines are needed, of which the share ``unseen`` of each powder reads as grey."""
    name = max(unseen, key=lambda each: unseen[each])
    if unseen[name] <= FINE:
        return
    times, known = RUNG * FINEST_SEEN / finest[name], finest[name] > LADDER[0]
    coarser, action = None, None
    if known and job.pattern.size is not None:
        width, height = (round(times * size, 1) for size in job.pattern.size)
        coarser = changed(job, "pattern", size=(width, height))
        action = say("Lay it {} large", mm(width, height, form=".0f")) if coarser else None
    yield Advice(
        say("{} of the {} powder's pattern comes out narrower than {}, and reads as grey: it has to be drawn {} times "
            "as wide{}.", f"{unseen[name]:.0%}", name, mm(FINEST_SEEN), f"{times:.1f}", "" if known else " or more"),
        unseen[name] * weight(job.can), action, coarser,
    )  # fmt: skip


def faded(job: Job, softening: tuple[float, float, float], scale: tuple[float, float]) -> Iterator[Advice]:
    """Yield for how long the bar may be hot, where the nickel spreads so far that lines fade that the eye could see.

    ``softening`` is the nickel's spread on the blade along, across and through, micrometres; ``scale`` leads from
    the picture's millimetres to the blade's.
    """
    wide = FADED * min(softening[:2]) / 1000  # along, across: what fades every line, whichever way it runs
    if wide <= FINEST_SEEN:
        return
    raster = laid_raster(job)
    lost = {powder.name: share_below(raster, powder.name, scale, wide) for powder in job.powders}
    name = max(lost, key=lambda each: lost[each])
    if lost[name] <= FINE:
        return
    share = 0.98 * (FINEST_SEEN / wide) ** 2  # the spread grows as the root of the time
    steps = tuple(
        step.model_copy(update={"heat": step.heat.model_copy(update={"minutes": round(share * step.heat.minutes, 1)})})
        if step.heat else step
        for step in job.forging
    )  # fmt: skip
    minutes = [sum(step.heat.minutes for step in each if step.heat) for each in (job.forging, steps)]
    yield Advice(
        say("So long at heat, nickel spreads until lines under {} fade: {} of the {} powder's pattern. {} min in all, "
            "not {}, would keep them.", mm(wide, form=".2f"), f"{lost[name]:.0%}", name, f"{minutes[1]:.0f}",
            f"{minutes[0]:.0f}"),
        lost[name] * weight(job.can), say("Heat for {} min in all", f"{minutes[1]:.0f}"),
        job.model_copy(update={"forging": steps}),
    )  # fmt: skip
