"""A face's rim in a photograph: found from the ground it lies on, and followed until the pose is as sure as it gets."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from preview.base.arrays import Array, Float32
from preview.base.errors import FileError
from preview.blade.grind import Side
from preview.blade.ground import Ground
from preview.blade.outlines.standing_out import Ground as PlainGround
from preview.seen.camera import ENTRIES, Pose, from_corners, prior_residuals, project

SPACING = 1.2
"""Places along the rim at which it is looked for, mm."""

ROUNDS = (6.0, 4.0, 3.0, 2.0, 1.2, 0.8, 0.6)
"""How far the rim may lie from where it is looked for, mm, standard deviation; round after round."""

ERROR = 0.25
"""How far an outline that is ground by hand lies from the drawn one, mm, standard deviation."""

TOGETHER = 40.0
"""Length over which it errs alike, mm: so few independent places count."""

UNLIKE = 0.35
"""How far the proportions of what lies there may be off those of the face, in their logarithm."""

MOST_THINGS, MOST_TRIED = 4, 3
"""Things that are put together, and boxes that are tried."""

HUE = 0.03
"""Least scatter of a hue round a piece of steel, in the logarithm of the light."""

NOISE = 0.01
"""Least variance within steel and within ground, in the logarithm of the light: JPEG smears hues."""

CLEAR, CLOSE = 0.12, 0.8
"""Step, in the logarithm of the light, of an edge that is seen, and how far (mm) from the rim it may lie."""

ALIKE = 0.005
"""Share of the photograph within which corners are the same."""

STEP = 0.2
"""Steps across the rim, mm."""


@dataclass(frozen=True, eq=False)
class Rim:
    """A face's rim in the face's frame: places (n, 3), and outward normals (n, 2), mm; `box` is round all of it."""

    places: Array
    normals: Array
    box: Array


def face_frame(ground: Ground, side: Side, along: Array, across: Array) -> Array:
    """Return places of a ground face (arrays of one shape, mm, blade frame) in the face's frame, (..., 3)."""
    outline = ground.blade.outline
    right = along - outline.length / 2
    stand = ground.stand(side, along, across)
    return np.stack([-right if side == "left" else right, outline.height / 2 - across, -stand], axis=-1)


def rim_of(ground: Ground, side: Side) -> Rim:
    """Return the rim of a face, without what a tang covers."""
    outline = ground.blade.outline
    edge, spine, _ = outline.traced()
    ring = [edge, spine[::-1]] if outline.tang_length else [edge, spine[::-1], edge[:1]]
    line = np.concatenate(ring)
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.arange(SPACING / 2, far[-1], SPACING)
    along, across = (np.interp(at, far, line[:, axis]) for axis in (0, 1))
    step = np.stack(
        [np.interp(at + 0.3, far, line[:, axis]) - np.interp(at - 0.3, far, line[:, axis]) for axis in (0, 1)]
    )
    step = step / np.maximum(np.hypot(*step), 1e-9)
    # round the blade from heel along the edge: outwards is to the right of the way
    out = np.stack([step[1] * (-1 if side == "left" else 1), step[0]], axis=1)
    inside = np.clip(along, 0.2, outline.length - 0.2)
    held = np.clip(across, outline.edge(inside) + 1e-3, outline.spine(inside))
    places = face_frame(ground, side, along, held)
    places[:, 1] = outline.height / 2 - across
    whole = outline.profile
    low, high = whole.min(axis=0), whole.max(axis=0)
    corners = np.array([(low[0], high[1]), (high[0], high[1]), (high[0], low[1]), (low[0], low[1])])
    box = np.zeros((4, 3))
    box[:, 0] = (corners[:, 0] - outline.length / 2) * (-1 if side == "left" else 1)
    box[:, 1] = outline.height / 2 - corners[:, 1]
    box[:, 2] = places[:, 2].mean()
    return Rim(places, out, box[[1, 0, 3, 2]] if side == "left" else box)


def find_pose(light: Float32, pixels: Float32, rim: Rim) -> Followed:
    """Return the pose of the face that lies on plain ground; see `follow`.

    A finger or glare may part it in two: what belongs together is tried, and the best fit taken.

    Raises
    ------
    FileError
        If nothing like it lies there.
    """
    size = (light.shape[1], light.shape[0])
    tried = [follow(pixels, rim, from_corners(corners, rim.box, size)) for corners in _candidates(light, rim)]
    if not tried:
        msg = "no bar or blade is seen on plain ground; give its four corners, or lay it on a plain cloth"
        raise FileError(msg)
    return max(tried, key=lambda each: each.share)


def _candidates(light: Float32, rim: Rim) -> list[Array]:
    """Return corners of boxes, shares (4, 2), round things on plain ground that are as long and high as the face."""
    found = PlainGround.of(light)
    things = [] if found is None else sorted(found.things, key=lambda thing: thing.cut_off)[:MOST_THINGS]
    wide, high = np.ptp(rim.box[:, 0]), np.ptp(rim.box[:, 1])
    boxes = []
    for count in range(1, len(things) + 1):
        for some in combinations(things, count):
            around = shapely.minimum_rotated_rectangle(shapely.MultiPoint(np.concatenate([each.box for each in some])))
            box = np.asarray(shapely.get_coordinates(around))
            if len(box) == 5:
                corners = _from_upper_left(box[:4])
                sides = np.hypot(*np.diff(corners[[0, 1, 2]], axis=0).T)
                if abs(np.log(sides[0] / sides[1] * high / wide)) < UNLIKE:
                    boxes.append((shapely.area(around), corners / np.array(light.shape[::-1])))
    kept: list[Array] = []
    for _, corners in sorted(boxes, key=lambda each: -each[0]):
        if all(np.abs(corners - other).max() > ALIKE for other in kept):
            kept.append(corners)
    return kept[:MOST_TRIED]


def _from_upper_left(box: Array) -> Array:
    """Return a box's corners (4, 2), px, from the upper left one clockwise, its long sides taken for level."""
    sides = np.diff(np.concatenate([box, box[:1]]), axis=0)
    way = sides[int(np.argmax(np.hypot(*sides.T)))]
    along = way / np.hypot(*way) * (1 if way[0] > 0 else -1)
    down = np.array([-along[1], along[0]])
    middle = box.mean(axis=0)
    ahead, below = (box - middle) @ along, (box - middle) @ down
    return np.array([box[np.argmax(a * ahead + b * below)] for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))])


@dataclass(frozen=True, eq=False)
class Followed:
    """A pose in which the rim lies where a photograph shows one.

    Parameters
    ----------
    pose
        The pose.
    off
        How far the rim still lies off, mm.
    share
        Share of the rim along which an edge is seen close by.
    """

    pose: Pose
    off: float
    share: float


def follow(pixels: Float32, rim: Rim, pose: Pose) -> Followed:
    """Return the pose in which the rim lies where the photograph shows one.

    ``pixels`` is the logarithm of the photograph's linear light, ``(rows, columns, 3)``.
    """
    from scipy.ndimage import map_coordinates
    from scipy.optimize import least_squares

    size, values, rms = pose.size, pose.values, 1.0
    for reach in ROUNDS:
        far = np.arange(-2.5 * reach, 2.5 * reach + STEP, STEP)
        places = (
            rim.places[:, None]
            + far[:, None] * np.concatenate([rim.normals, np.zeros((len(rim.normals), 1))], 1)[:, None]
        )
        on_photo = project(values, places.reshape(-1, 3), size).reshape(*places.shape[:2], 2) - 0.5
        at = [on_photo[..., 1], on_photo[..., 0]]
        seen = np.stack([map_coordinates(pixels[..., layer], at, order=1, mode="nearest") for layer in range(3)], -1)
        even = seen - seen.mean(axis=1, keepdims=True)  # the light falls unevenly along the rim
        way = _fisher(even[:, far < -0.5 * reach].reshape(-1, 3), even[:, far > 0.5 * reach].reshape(-1, 3))
        tone = seen @ way
        wide = max(1, round(0.4 / STEP))
        rise = (tone[:, 2 * wide :] - tone[:, : -2 * wide]) * np.exp(-0.5 * (far[wide:-wide] / reach) ** 2)
        best = np.clip(rise.argmax(axis=1), 1, rise.shape[1] - 2)
        row = np.arange(len(rise))
        left, here, right = rise[row, best - 1], rise[row, best], rise[row, best + 1]
        bent = left - 2 * here + right
        off = far[wide + best] + STEP * np.where(bent < 0, 0.5 * (left - right) / np.minimum(bent, -1e-9), 0).clip(
            -1, 1
        )
        step = here / np.exp(-0.5 * (far[wide + best] / reach) ** 2)
        weight = np.sqrt(np.clip(here / max(float(np.median(here)), 1e-9), 0, 1))
        weight *= _of_one_hue(seen, far, off)
        target = rim.places + np.concatenate([rim.normals * off[:, None], np.zeros((len(off), 1))], 1)
        wanted = project(values, target, size)
        outward = wanted - project(values, target - np.concatenate([rim.normals, np.zeros((len(off), 1))], 1), size)
        per_mm = np.hypot(*outward.T)
        outward = outward / per_mm[:, None]
        count = max(1.0, TOGETHER / SPACING)
        scale = max(ERROR, rms / 2) * np.sqrt(count)
        soft = max(1.2 * scale / np.sqrt(count), 0.2 * reach)

        found = least_squares(
            _off, values, x_scale="jac", max_nfev=30,
            args=(rim, size, wanted, outward / per_mm[:, None], weight, scale, soft),
        )  # fmt: skip
        values = found.x
        gone = ((project(values, rim.places, size) - wanted) * outward).sum(axis=1) / per_mm
        rms = 1.4826 * float(np.median(np.abs(gone)))
    information = found.jac.T @ found.jac
    at_rim = project(values, rim.places, size)
    shown = ((at_rim > 0) & (at_rim < np.array(size))).all(axis=1)
    share = float((shown & (weight > 0) & (step > CLEAR) & (np.abs(gone) < CLOSE)).mean())
    return Followed(Pose(values, np.linalg.inv(information + 1e-12 * np.eye(ENTRIES)), size), rms, share)


def _off(
    values: Array,
    rim: Rim,
    size: tuple[int, int],
    wanted: Array,
    per_px: Array,
    weight: Array,
    scale: float,
    soft: float,
) -> Array:
    """Return how far the rim lies off where it is wanted, in standard deviations, far outliers softened; and the prior.

    ``wanted`` are pixels, ``per_px`` mm outwards for each, ``scale`` and ``soft`` mm.
    """
    gone = ((project(values, rim.places, size) - wanted) * per_px).sum(axis=1)
    robust = np.sign(gone) * np.sqrt(2 * soft**2 * (np.sqrt(1 + (gone / soft) ** 2) - 1))
    return np.concatenate([weight * robust / scale, prior_residuals(values)])


def _of_one_hue(seen: Array, far: Array, off: Array) -> Array:
    """Return 1 where both sides of the edge found have the hue that steel and ground have all round, else 0.

    A finger has another: its own edge is none of the steel's.
    """
    kept = np.ones(len(off))
    hue = np.stack([seen[..., 0] - seen[..., 1], seen[..., 2] - seen[..., 1]], axis=-1)
    for inside in (True, False):
        beyond = far - off[:, None]
        strip = (beyond < -0.5) & (beyond > -2.0) if inside else (beyond > 0.5) & (beyond < 2.0)
        count = strip.sum(axis=1)
        mean = (hue * strip[..., None]).sum(axis=1) / np.maximum(count, 1)[:, None]
        some = mean[count > 0]
        if not len(some):
            continue
        usual = np.median(some, axis=0)
        scatter = np.maximum(1.4826 * np.median(np.abs(some - usual), axis=0), HUE)
        kept[(count > 0) & ((np.abs(mean - usual) / scatter).max(axis=1) > 4)] = 0
    return kept


def _fisher(inner: Array, outer: Array) -> Array:
    """Return the mixture of three layers that tells two sets of pixels apart best: Fisher's, growing outwards."""
    spread = np.cov(inner.T) + np.cov(outer.T) + NOISE * np.eye(3)
    way = np.linalg.solve(spread, outer.mean(axis=0) - inner.mean(axis=0))
    return np.asarray(way / max(float(np.linalg.norm(way)), 1e-12))
