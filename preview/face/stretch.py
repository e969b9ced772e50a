"""Where the pattern goes on the ground face: stretch, slide, joints, and what lands off the blade."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.blade.grind import Side
from preview.blade.outlines import Outline
from preview.face.origins import Origins
from preview.pattern.raster import Cells


def _rate(origins: Origins, axis: int, can_axis: int) -> float:
    """Return the blade millimetres along ``axis`` for one of the can along ``can_axis``, at mid-bevel."""
    reach = 0.5
    place = np.array([origins.ground.mid_bevel()] * 2)
    place[:, axis] += (-reach, reach)
    moved = np.broadcast_arrays(*origins.of_face("right", place[:, 0], place[:, 1])[:3])[can_axis]
    change = abs(float(moved[1] - moved[0]))
    return 2 * reach / change if change > 1e-12 else float("inf")


def stretch(origins: Origins) -> tuple[float, float]:
    """Return millimetres on the right face, at mid-bevel, for one in the can: along, and edge to spine.

    The second is that of the picture's height: across the can, or up it with dividers along the blade.
    """
    return _rate(origins, 0, 0), _rate(origins, 1, origins.direction.axes[1])


def picture_stretch(origins: Origins) -> tuple[float, float]:
    """Return millimetres on the right face, at mid-bevel, for one of the picture's width and of its height."""
    width, height = origins.direction.axes
    return _rate(origins, min(width, 1), width), _rate(origins, 1, height)


def slide(origins: Origins, side: Side) -> tuple[float, float | None]:
    """Return how far the pattern at the edge lies from the unground face's, at mid-length; can mm and blade mm."""
    outline = origins.ground.blade.outline
    along = np.array([outline.length / 2])
    across = outline.edge(along) + 0.05
    bevel = origins.ground.bevel(side, along)
    axis = origins.direction.axes[1]
    stand = bevel.stand(outline.edge_distance(along, across))
    at_edge = origins.of_points(side, along, across, stand)[axis]
    unground = origins.of_points(side, along, across, bevel.face)[axis]
    beside = origins.of_points(side, along, across + 0.5, bevel.face)[axis]
    slide = float((at_edge - unground)[0])
    per_mm = float((beside - unground)[0]) / 0.5
    return slide, (slide / per_mm if origins.direction.upright and abs(per_mm) > 1e-9 else None)


def joints(origins: Origins) -> tuple[float, ...]:
    """Return where along the blade the welds between tiles lie, on the bar's middle line, mm from the heel."""
    history, found = origins.history, []
    for number, step in enumerate(history.steps):
        along = step.joints(history.met[number])
        if along.size:
            welds = np.stack([along, np.zeros_like(along), np.zeros_like(along)], axis=1)
            found.append(history.between(welds, history.frames[number + 1], "bar")[:, 0])
    blade = origins.ground.blade
    places = np.concatenate([*found, []]) * blade.placement.signs[0] - blade.corner(history.bar)[0]
    return tuple(float(place) for place in places if 0 < place < blade.outline.length)


@kept
def _mesh(outline: Outline) -> tuple[Array, Array, Array, Mask]:
    """Return a mesh over an outline: along, across (held inside it), distance to the edge, mm, and what is on it."""
    along, across = np.meshgrid(np.linspace(0, outline.length, 300), np.linspace(0, outline.height, 100))
    held = np.clip(across, outline.edge(along), outline.spine(along))
    return along, held, outline.edge_distance(along, held), outline.contains(along, across)


@kept
def _held(cells: Cells, names: tuple[str, ...]) -> float:
    """Return how many cells the classes called ``names`` fill between them, the surround's left out."""
    return float(cells.share_of(names)[1:-1, 1:-1].sum(dtype=float))


def motif_off(origins: Origins, bright: tuple[str, ...], side: Side = "right") -> float | None:
    """Return the share of the ``bright`` classes in the can that does not lie on the finished face.

    None for dividers along the blade, whose pattern has no end.
    """
    if not origins.direction.upright:
        return None
    along, held, distance, on_blade = _mesh(origins.ground.blade.outline)
    x, y, z, _ = np.broadcast_arrays(*origins.of_face(side, along, held, distance))
    right, up = np.gradient(x, axis=1), np.gradient(y, axis=0)
    can_area = np.abs(right * up - np.gradient(x, axis=0) * np.gradient(y, axis=1))
    raster = origins.sampler.raster
    # a spot of the mesh stands for all the cells that it spans
    wide, high = (
        max(1, int(np.median(np.abs(step)) / cell)) for step, cell in zip((right, up), raster.cell, strict=True)
    )
    column, row = origins.in_picture(x, y, z)
    found = origins.sampler.coarser(wide, high).shares((column + 0.5) / wide - 0.5, (row + 0.5) / high - 0.5)
    shares = dict(zip(raster.classes, found, strict=True))
    inside = (np.abs(x) <= origins.inside[0] / 2) & (np.abs(y) <= origins.inside[1] / 2)
    seen = sum(float((shares[name] * can_area)[on_blade & inside].sum()) for name in bright)
    laid = _held(raster.cells, bright) * raster.cell[0] * raster.cell[1]
    return float(np.clip(1 - seen / laid, 0, 1)) if laid else 0.0
