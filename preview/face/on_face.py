"""Where the pattern goes on the ground face: stretch, slide, joints, and what lands off the blade."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from preview.base.arrays import Array, Mask
from preview.blade.grind import Side
from preview.blade.outlines import Outline
from preview.blade.surface import bevel_lines, face_stand
from preview.face.composition import Ground
from preview.forging.steps import Tile
from preview.job.job import Job
from preview.pattern.pattern import Raster


def mid_bevel(job: Job) -> tuple[float, float]:
    """Return a place at mid-length, half way up the right face's bevel: along, across, mm."""
    outline = job.blade.outline
    along = outline.length / 2
    lines = bevel_lines(job.blade, job.grind, job.history.bar, "right", np.array([along]))
    edge, spine = (float(curve(np.array(along))) for curve in (outline.edge, outline.spine))
    return along, edge + min(float(lines.height[0]), spine - edge) / 2


def on_face(job: Job, ground: Ground, along: Array, across: Array, side: Side = "right") -> tuple[Array, Array, Array]:
    """Return the can coordinates (mm) of points of the ground face (one shape, blade mm)."""
    distance = job.blade.outline.edge_distance(along, across)
    stand = face_stand(job.blade, job.grind, job.history.bar, side, along, across, distance)
    x, y, z, _ = ground.can_points(side, along, across, stand)
    x, y, z = np.broadcast_arrays(x, y, z)
    return x, y, z


def _rate(job: Job, ground: Ground, axis: int, can_axis: int) -> float:
    """Return the blade millimetres along ``axis`` for one of the can along ``can_axis``, at mid-bevel."""
    reach = 0.5
    place = np.array([mid_bevel(job)] * 2)
    place[:, axis] += (-reach, reach)
    moved = on_face(job, ground, place[:, 0], place[:, 1])[can_axis]
    change = abs(float(moved[1] - moved[0]))
    return 2 * reach / change if change > 1e-12 else float("inf")


def stretch(job: Job, ground: Ground) -> tuple[float, float]:
    """Return millimetres on the right face, at mid-bevel, for one in the can: along, and edge to spine.

    With dividers along the blade the second is that of the picture's height.
    """
    through = job.pattern.dividers == "through"
    return _rate(job, ground, 0, 0), _rate(job, ground, 1, 1 if through else 2)


def stretch_sideways(job: Job, ground: Ground) -> float:
    """Return millimetres edge to spine, at mid-bevel, for one across the can."""
    return _rate(job, ground, 1, 1)


def slide(job: Job, ground: Ground, side: Side) -> tuple[float, float | None]:
    """Return how far the pattern at the edge lies from the unground face's, at mid-length; can mm and blade mm."""
    outline, bar = job.blade.outline, job.history.bar
    along = np.array([outline.length / 2])
    across = outline.edge(along) + 0.05
    lines = bevel_lines(job.blade, job.grind, bar, side, along)
    through = job.pattern.dividers == "through"
    axis = 1 if through else 2
    stand = lines.stand(outline.edge_distance(along, across))
    at_edge = ground.can_points(side, along, across, stand)[axis]
    unground = ground.can_points(side, along, across, lines.face)[axis]
    beside = ground.can_points(side, along, across + 0.5, lines.face)[axis]
    slide = float((at_edge - unground)[0])
    per_mm = float((beside - unground)[0]) / 0.5
    return slide, (slide / per_mm if through and abs(per_mm) > 1e-9 else None)


def joints(job: Job) -> tuple[float, ...]:
    """Return where along the blade the welds between tiles lie, on the bar's middle line, mm from the heel."""
    history, found = job.history, []
    for number, step in enumerate(history.steps):
        if isinstance(step, Tile):
            along = step.joints(history.bars[number])
            welds = np.stack([along, np.zeros_like(along), np.zeros_like(along)], axis=1)
            found.append(history.between(welds, history.frames[number + 1], "bar")[:, 0])
    places = np.concatenate([*found, []]) - job.blade.corner(history.bar)[0]
    return tuple(float(place) for place in places if 0 < place < job.blade.outline.length)


@lru_cache(maxsize=2)
def _mesh(outline: Outline) -> tuple[Array, Array, Array, Mask]:
    """Return a mesh over an outline: along, across (held inside it), distance to the edge, mm, and what is on it."""
    along, across = np.meshgrid(np.linspace(0, outline.length, 300), np.linspace(0, outline.height, 100))
    held = np.clip(across, outline.edge(along), outline.spine(along))
    return along, held, outline.edge_distance(along, held), outline.contains(along, across)


def motif_off(job: Job, ground: Ground, raster: Raster, side: Side = "right") -> float:
    """Return the share of the bright powders in the can that does not lie on the finished face."""
    along, held, distance, on_blade = _mesh(job.blade.outline)
    stand = face_stand(job.blade, job.grind, job.history.bar, side, along, held, distance)
    x, y, _, _ = ground.can_points(side, along, held, stand)
    x, y = np.broadcast_arrays(x, y)
    can_area = np.abs(np.gradient(x, axis=1) * np.gradient(y, axis=0) - np.gradient(x, axis=0) * np.gradient(y, axis=1))
    column, row = ground.in_picture(x, y, x)
    shares = [np.zeros(x.shape, dtype=np.float32) for _ in raster.classes[1:]]
    ground.sampler.read(np.array(column), np.array(row), tuple(shares), 1.0)
    inside = (np.abs(x) <= job.can.length / 2) & (np.abs(y) <= job.can.width / 2)
    names = job.bright_powders
    every = {
        raster.classes[0]: 1 - sum(shares, start=np.zeros(x.shape)),
        **dict(zip(raster.classes[1:], shares, strict=True)),
    }
    seen = sum(float((every[name] * can_area)[on_blade & inside].sum()) for name in names)
    cells = raster.cell[0] * raster.cell[1]
    laid = sum(float(raster.shares[raster.classes.index(name)][1:-1, 1:-1].sum(dtype=float)) for name in names) * cells
    return float(np.clip(1 - seen / laid, 0, 1)) if laid else 0.0
