"""Where the can's upright columns come out on a ground face: the preview's map, solved the other way.

Dividers that run through the blade hold one powder from the can's floor to its top. Such a column meets the
ground face at one depth, hence at one spot of it; where the metal has folded it may meet it again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.progress import counted
from preview.blade.grind import Side
from preview.face.origins import Origins

CLOSE = 1e-4
"""How near (mm, in the can) the face's pull-back has to come to a column for it to count as met."""

_RIM = 0.5
"""How far (mm) beyond the outline spots are looked for, so that columns at its rim are found."""

_START = (240, 80)
"""Spots along and across the face from which the search starts."""

_SWEEPS = 12
_REACH = 0.02


@dataclass(frozen=True, eq=False)
class Met:
    """Where columns meet a face; arrays of one shape.

    Parameters
    ----------
    along, across
        Spot on the face, blade frame, mm; NaN where the column does not meet it.
    up
        How high in the can the grain lay that shows there, mm; NaN likewise.
    on_blade
        Columns that come out inside the blade's outline, on metal that lay inside the can.
    """

    along: Array
    across: Array
    up: Array
    on_blade: Mask


def _pulled(origins: Origins, side: Side, along: Array, across: Array) -> tuple[Array, Array, Array, Mask]:
    """Return the can coordinates of spots of the ground face (one shape, blade mm), and where there is metal."""
    outline = origins.ground.blade.outline
    along_held = np.clip(along, 0, outline.length)
    held = np.clip(across, outline.edge(along_held), outline.spine(along_held))
    distance = outline.edge_distance(along_held, held)
    x, y, z, metal = np.broadcast_arrays(*origins.of_face(side, along, across, distance))
    return x, y, z, metal


def _start_spots(origins: Origins) -> tuple[Array, Array]:
    outline = origins.ground.blade.outline
    share_along, share_across = (np.linspace(0, 1, count) for count in _START)
    along = -_RIM + share_along * (outline.length + 2 * _RIM)
    held = np.clip(along, 0, outline.length)
    low, high = outline.edge(held) - _RIM, outline.spine(held) + _RIM
    return np.broadcast_to(along, (_START[1], _START[0])), low + share_across[:, None] * (high - low)


def folded_area(origins: Origins, side: Side) -> float:
    """Return the area of the face (mm2) where columns turn back: what is laid there shows at another spot too."""
    along, across = _start_spots(origins)
    x, y, _, _ = _pulled(origins, side, along, across)
    turn = np.diff(x, axis=1)[:-1] * np.diff(y, axis=0)[:, :-1] - np.diff(x, axis=0)[:, :-1] * np.diff(y, axis=1)[:-1]
    size = np.diff(along, axis=1)[:-1] * np.diff(across, axis=0)[:, :-1]
    middle = along[:-1, :-1] + np.diff(along, axis=1)[:-1] / 2, across[:-1, :-1] + np.diff(across, axis=0)[:, :-1] / 2
    back = (turn * np.sign(np.median(turn)) <= 0) & origins.ground.blade.outline.contains(*middle)
    return float(size[back].sum())


def meet(origins: Origins, side: Side, x: Array, y: Array) -> Met:
    """Return where the can's columns at ``x`` (along), ``y`` (across; one shape, mm) meet the ground face.

    Newton's method on the face's own pull-back, the one its picture is made with, from the nearest of a mesh of
    spots: so laying out and previewing are each other's inverse to `CLOSE`.
    """
    from scipy.spatial import cKDTree

    start_along, start_across = _start_spots(origins)
    from_x, from_y, _, _ = _pulled(origins, side, start_along, start_across)
    # a column further from all of the mesh's spots than these lie apart comes out beyond the mesh
    apart = max(
        float(np.hypot(np.diff(from_x, axis=axis), np.diff(from_y, axis=axis)).max()) for axis in range(from_x.ndim)
    )
    mesh = cKDTree(np.stack([from_x.ravel(), from_y.ravel()], axis=1))
    near, spot = mesh.query(np.stack([x.ravel(), y.ravel()], axis=1), distance_upper_bound=apart)
    wanted = np.flatnonzero(np.isfinite(near))
    goal_x, goal_y = x.ravel()[wanted], y.ravel()[wanted]
    along_found: Array = start_along.ravel()[spot[wanted]]
    across_found: Array = start_across.ravel()[spot[wanted]]

    outline = origins.ground.blade.outline
    left = np.arange(wanted.size)
    for _ in counted("closer to the columns", range(_SWEEPS)):
        along, across = along_found[left], across_found[left]
        here_x, here_y, _, _ = _pulled(origins, side, along, across)
        off_x: Array = goal_x[left] - here_x
        off_y: Array = goal_y[left] - here_y
        far = np.hypot(off_x, off_y) >= CLOSE / 10
        if not far.any():
            break
        left = left[far]
        along, across, here_x, here_y, off_x, off_y = (
            each[far] for each in (along, across, here_x, here_y, off_x, off_y)
        )
        right_x, right_y, _, _ = _pulled(origins, side, along + _REACH, across)
        up_x, up_y, _, _ = _pulled(origins, side, along, across + _REACH)
        a, b, c, d = (each / _REACH for each in (right_x - here_x, up_x - here_x, right_y - here_y, up_y - here_y))
        whole = a * d - b * c
        whole = np.where(np.abs(whole) < 1e-9, np.inf, whole)  # flat there: stay
        # the table's cells are bilinear: a step across one of their edges overshoots, a short one does not
        moved_along = along + np.clip((d * off_x - b * off_y) / whole, -2, 2)
        moved_across = across + np.clip((a * off_y - c * off_x) / whole, -2, 2)
        along_found[left] = np.clip(moved_along, -_RIM, outline.length + _RIM)
        across_found[left] = np.clip(moved_across, -_RIM, outline.height + _RIM)
    along, across = along_found, across_found
    here_x, here_y, up, metal = _pulled(origins, side, along, across)
    good = np.hypot(goal_x - here_x, goal_y - here_y) < CLOSE
    inside = np.abs(up) <= origins.inside[2] / 2
    inside &= (np.abs(goal_x) <= origins.inside[0] / 2) & (np.abs(goal_y) <= origins.inside[1] / 2)

    found = [np.full(x.size, np.nan) for _ in range(3)]
    for values, into in zip((along, across, up), found, strict=True):
        into[wanted[good]] = values[good]
    on_blade = np.zeros(x.size, dtype=bool)
    on_blade[wanted] = good & metal & inside & outline.contains(along, across)
    shape = x.shape
    return Met(found[0].reshape(shape), found[1].reshape(shape), found[2].reshape(shape), on_blade.reshape(shape))
