"""The ground blade as closed bodies of triangles: its steel, and what lies behind its heel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.base.arrays import Array
from preview.blade.grind import SIDES
from preview.blade.ground import Ground
from preview.blade.handle import SQUARER, behind_heel, half_thickness
from preview.in_hand.maps import FRAMES, SteelMaps
from preview.in_hand.stones import sharpened_stand

STATIONS, ROWS = 200, 36
"""Stretches from heel to tip, evenly over the length of edge and spine; and from the edge up, denser near it."""

DENSER = 1.3
"""Exponent by which the rows lie denser near the edge."""

ROUND = 24
"""Sides of a handle's cross-section."""

SAME = 5
"""Decimals of a millimetre by which two corners are one."""

Triangles = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Body:
    """A closed body of triangles; places in the blade frame, mm.

    Corners stand once for each side that they are seen from; welded by their places, the body is closed.

    Parameters
    ----------
    name
        A block of `FRAMES` whose steel it shows, ``tang`` or ``handle``; one for each corner.
    places, outwards
        Corners ``(n, 3)``, and the unit normals there.
    sheet
        Where on the sheet of maps each corner lies, ``(n, 2)``; 0 on tang and handle.
    triangles
        Corners' numbers ``(m, 3)``, counter-clockwise as seen from outside.
    """

    name: NDArray[np.str_]
    places: Array
    outwards: Array
    sheet: Array
    triangles: Triangles


def bodies_of(ground: Ground, maps: SteelMaps) -> tuple[Body, ...]:
    """Return a blade's steel, and its tang or handle if it has any."""
    behind = behind_heel(ground.blade.outline, ground.blade.handle)
    bodies = [_steel(ground, maps)]
    if behind.tang.size:
        bodies.append(_tang(behind.tang, ground))
    if behind.grip.size:
        # the collar is of bare steel, as a tang is
        wood, collar = (behind.grip[:, 0] * side <= behind.collar * side for side in (1, -1))
        bodies += [_turned("handle", behind.grip[wood]), _turned("tang", behind.grip[collar])]
    return tuple(bodies)


def _stations(ground: Ground) -> Array:
    """Return places along the blade (mm), closer where edge or spine are steep."""
    outline = ground.blade.outline
    fine = np.linspace(0, outline.length, 8001)
    steps = np.diff(fine) + sum(np.abs(np.diff(rim)) for rim in outline.rims(fine))
    so_far = np.concatenate([[0], np.cumsum(steps)])
    return np.asarray(np.interp(np.linspace(0, so_far[-1], STATIONS + 1), so_far, fine))


def _steel(ground: Ground, maps: SteelMaps) -> Body:
    along = _stations(ground)
    outline = ground.blade.outline
    low, high = outline.rims(along)
    high = np.maximum(low, high)
    share = np.linspace(0, 1, ROWS + 1)[:, None] ** DENSER
    across = low + (high - low) * share
    right, left = (sharpened_stand(ground, side, along, across) for side in SIDES)
    faces = {"right": _points(along, across, right), "left": _points(along, across, -left)}
    sides = {
        **faces,
        "spine": np.stack([faces["left"][-1], faces["right"][-1]]),
        "foot": np.stack([faces["left"][0], faces["right"][0]]),
        "heel": np.stack([faces["left"][:, 0], faces["right"][:, 0]]),
    }
    # as seen from outside, a grid's rows go up and its columns to the right on these sides
    return _body(
        [
            (name, _grid(*grid.shape[:2], turned=name in {"left", "spine", "heel"}), grid)
            for name, grid in sides.items()
        ],
        maps,
    )


def _points(along: Array, across: Array, through: Array) -> Array:
    return np.stack(np.broadcast_arrays(along, across, through), axis=-1)


def _grid(rows: int, columns: int, *, turned: bool) -> Triangles:
    """Return two triangles for each square of a grid of corners."""
    number = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]
    triangles = np.concatenate([np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)]).reshape(-1, 3)
    return triangles[:, ::-1] if turned else triangles


def _body(sides: list[tuple[str, Triangles, Array]], maps: SteelMaps) -> Body:
    """Put sides together: each with its name, its triangles and its corners."""
    names, places, outwards, sheet, triangles = [], [], [], [], []
    count = 0
    for name, numbers, grid in sides:
        corners = grid.reshape(-1, 3)
        names.append(np.full(len(corners), name))
        places.append(corners)
        outwards.append(np.broadcast_to(np.array(FRAMES[name][2], dtype=float), corners.shape))
        sheet.append(maps.places(name, corners))
        triangles.append(numbers + count)
        count += len(corners)
    found = np.round(np.concatenate(places), SAME)
    every = np.concatenate(triangles)
    _, one = np.unique(found, axis=0, return_inverse=True)
    welded = one.reshape(-1)[every]
    first, second, third = welded.T
    whole = (first != second) & (second != third) & (third != first)
    return Body(np.concatenate(names), found, np.concatenate(outwards), np.concatenate(sheet), every[whole])


def _tang(shape: Array, ground: Ground) -> Body:
    """Return a tang as thick as the blade is at its heel before it is ground."""
    from trimesh.creation import extrude_polygon

    thick = float(ground.unground(np.zeros(1))[0])
    plain = shapely.set_precision(shapely.Polygon(shape), 1e-3)  # corners closer than this would be one
    solid = extrude_polygon(plain, thick, engine="manifold")
    corners = solid.vertices[solid.faces].reshape(-1, 3) - (0, 0, thick / 2)
    return _plain("tang", corners, np.repeat(solid.face_normals, 3, axis=0), np.arange(len(corners)).reshape(-1, 3))


def _turned(name: str, grip: Array) -> Body:
    """Return a part of a handle: at each station as high as it is there, its section between ellipse and square."""
    along, low, high = grip.T
    half = half_thickness(high - low)
    turn = np.linspace(0, 2 * np.pi, ROUND, endpoint=False)
    cosine, sine = (np.sign(f(turn)) * np.abs(f(turn)) ** (2 / SQUARER) for f in (np.cos, np.sin))
    across = (low + high)[:, None] / 2 + (high - low)[:, None] / 2 * sine
    rings = np.stack([np.broadcast_to(along[:, None], across.shape), across, half[:, None] * cosine], axis=-1)
    ends = [rings[end].mean(axis=0) for end in (0, -1)]
    # a collar's ends have corners of their own, as they meet its side at a right angle; wood is eased there
    rims = rings[[0, -1]] if name == "tang" else rings[:0]
    corners = np.concatenate([rings.reshape(-1, 3), rims.reshape(-1, 3), ends])
    number = np.arange((rings.shape[0] + len(rims)) * ROUND).reshape(-1, ROUND)
    first, last = number[-2:] if len(rims) else number[[0, -1]]
    number = number[: len(rings)]
    after = np.roll(number, -1, axis=1)
    a, b, c, d = number[:-1], number[1:], after[1:], after[:-1]
    back_end, front_end = (np.full(ROUND, len(corners) - 2 + end) for end in (0, 1))
    caps = [
        np.stack([back_end, first, np.roll(first, -1)], axis=-1),
        np.stack([front_end, np.roll(last, -1), last], axis=-1),
    ]
    sides = [np.stack([a, b, c], axis=-1).reshape(-1, 3), np.stack([a, c, d], axis=-1).reshape(-1, 3)]
    triangles = np.concatenate([*sides, *caps])
    return _plain(name, corners, _smooth(corners, triangles), triangles)


def _smooth(corners: Array, triangles: Triangles) -> Array:
    """Return unit normals at corners, each the mean of its triangles' by their areas."""
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    area = np.cross(b - a, c - a)
    normals = np.zeros_like(corners)
    for k in range(3):
        np.add.at(normals, triangles[:, k], area)
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12))


def _plain(name: str, corners: Array, outwards: Array, triangles: Triangles) -> Body:
    return Body(np.full(len(corners), name), np.round(corners, SAME), outwards, np.zeros((len(corners), 2)), triangles)
