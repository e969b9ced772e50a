"""Where a bar or blade lies on a photograph: what stands out from the ground, and how the rim lies best on that."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import shapely

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import RequestError
from preview.blade.outlines.standing_out import DARKEST, LOOKED_AT, SMALLEST, STANDS_OUT, Ground as PlainGround
from preview.seen.camera import from_corners
from preview.seen.following import Followed, follow
from preview.seen.rim import Rim

MOST_THINGS, MOST_TRIED = 3, 2
"""Things that are put together, and places that are tried."""

FRAME, STRANGE = 0.06, 0.25
"""Share of the picture all round it that is taken for ground, and how far off its hue, in the logarithm of the light, a
thing's is."""

SMALLER = (1.0, 0.85, 0.72, 0.6, 0.5, 0.4)
"""How long a face may be as a share of what is seen of it: tang and handle lie behind a blade."""

MOST_FRAME = 0.2
"""Share of that frame that may be off the ground's light for the ground to be plain."""

GAP = 3
"""Pixels of the smaller picture over which what stands out goes together: a pattern may look like the ground."""

CLOSE = 4.0
"""Pixels of the smaller picture over which what lies off counts less and less: fingers and glare hide rims."""

STRETCH = 0.1
"""How far a face may be larger or smaller than it is begun with, in the logarithm, standard deviation."""

FILLED = 0.6
"""Share of the face that lies within what stands out, at least."""

UNLIKE = 0.03
"""Share of the face's length beyond which two places are not the same."""


def find_pose(light: Float32, pixels: Float32, rim: Rim) -> Followed:
    """Return the pose of the face that lies on plain ground, or on ground of another hue; see `follow`.

    Raises
    ------
    RequestError
        If nothing like it lies there.
    """
    size = (light.shape[1], light.shape[0])
    starts = [from_corners(corners, rim.box, size) for corners in _candidates(light, pixels, rim)]
    if not starts:
        problem = "no bar or blade is seen on plain ground; give its four corners, or lay it on a plain cloth"
        raise RequestError.at("photo", problem)
    # a blade that lies some millimetres along itself is seen nearly as far round, but not as closely
    return max((follow(pixels, rim, start) for start in starts), key=lambda each: each.share - each.off)


def _candidates(light: Float32, pixels: Float32, rim: Rim) -> list[Array]:
    """Return corners of the face's box, shares (4, 2), where its rim lies on the outline of what stands out."""
    laid = []
    for parts in standing_out(light, pixels):
        for count in range(1, len(parts) + 1):
            for some in combinations(parts, count):
                laid += _laid(np.logical_or.reduce(some), rim)
    kept: list[Array] = []
    for _, corners in sorted(laid, key=lambda each: each[0]):
        far = [np.abs(corners - other).max() / np.ptp(other[:, 0]) for other in kept]
        if all(each > UNLIKE for each in far):
            kept.append(corners)
    return kept[:MOST_TRIED]


def standing_out(light: Float32, pixels: Float32) -> list[list[Mask]]:
    """Return the parts of what is lighter or darker than plain ground, and of what has another hue than the frame.

    Masks of the smaller picture. Steel and fingers never go together: on grey ground only a finger has a hue of its
    own, and on wood steel is what has none.
    """
    from scipy.ndimage import gaussian_filter, zoom

    scale = min(1.0, LOOKED_AT / max(light.shape))
    hue = np.stack([pixels[..., 0] - pixels[..., 1], pixels[..., 2] - pixels[..., 1]])
    soft = np.stack([zoom(gaussian_filter(each, 0.5 / scale), scale, order=1) for each in hue])
    rows, columns = soft.shape[1:]
    frame = np.ones((rows, columns), dtype=bool)
    high, wide = round(FRAME * rows), round(FRAME * columns)
    frame[high : rows - high, wide : columns - wide] = False
    usual = np.median(soft[:, frame], axis=1)[:, None, None]
    off = np.hypot(*(soft - usual))
    strange = off > STRANGE
    masks = [strange]
    if strange.any():  # skin is nearer to wood than steel is
        masks.append(off > max(STRANGE, float(np.median(off[strange])) / 2))
    ground = PlainGround.of(light)
    if ground is not None and ground.small.shape == strange.shape:
        tone = np.log((ground.small + DARKEST) / (ground.field + DARKEST))
        other = (np.abs(tone) > STANDS_OUT) & ~strange
        if other[frame].mean() < MOST_FRAME:
            masks.append(other)
    return [_parts(mask) for mask in masks]


def _parts(mask: Mask) -> list[Mask]:
    """Return the largest parts of a mask, small gaps closed, and holes filled."""
    from scipy.ndimage import binary_closing, binary_fill_holes, binary_opening, label

    padded = np.pad(mask, GAP)
    whole = binary_opening(binary_fill_holes(binary_closing(padded, iterations=GAP)), iterations=2)
    parts, count = label(whole[GAP:-GAP, GAP:-GAP])
    areas = np.bincount(parts.ravel(), minlength=count + 1)[1:]
    return [parts == n + 1 for n in np.argsort(-areas)[:MOST_THINGS] if areas[n] >= SMALLEST * parts.size]


def _laid(thing: Mask, rim: Rim) -> list[tuple[float, Array]]:
    """Return how far the rim lies off a thing's outline (px, softened), and the corners of its box, for some starts."""
    from scipy.ndimage import binary_erosion, distance_transform_edt, map_coordinates
    from scipy.optimize import least_squares

    outline = thing & ~binary_erosion(thing)
    far = distance_transform_edt(~outline).astype(np.float32)
    row, column = np.nonzero(outline)
    around = shapely.minimum_rotated_rectangle(shapely.MultiPoint(np.stack([column, row], axis=1)))
    box = np.asarray(shapely.get_coordinates(around))
    if len(box) != 5:
        return []
    corners = _from_upper_left(box[:4])
    if abs(corners[1, 1] - corners[0, 1]) > abs(corners[1, 0] - corners[0, 0]):
        return []  # it stands upright
    ahead, long = corners[1] - corners[0], float(np.hypot(*(corners[1] - corners[0])))
    face = np.concatenate(
        [share * rim.places[:, :2] + (1 - share) * rim.places[:, :2].mean(axis=0) for share in (0.1, 0.4, 0.7, 0.9)]
    )
    places, wide = rim.places[:, :2], float(np.ptp(rim.box[:, 0]))
    right = rim.box[1, 0] if rim.tip_right else rim.box[0, 0]
    pinned = corners[[1, 2]].mean(axis=0) if rim.tip_right else corners[[0, 3]].mean(axis=0)

    def off(values: Array) -> Array:
        at = _moved(values, places)
        beside = map_coordinates(far, at.T[::-1], order=1, mode="nearest") / CLOSE
        larger = np.log(max(float(np.hypot(*values[:2])), 1e-6) / scale) / STRETCH
        return np.append(beside, larger * np.sqrt(len(places)) / 4)

    found = []
    for smaller in SMALLER if rim.open else SMALLER[:1]:
        scale = smaller * long / wide
        turn = ahead / long * scale
        start = np.array([*turn, *(pinned - right * turn)])
        best = least_squares(off, start, loss="soft_l1", x_scale=(scale / 50, scale / 50, 2, 2), max_nfev=60)
        inside = map_coordinates(thing.astype(np.float32), _moved(best.x, face).T[::-1], order=0).mean()
        if inside > FILLED:
            off_by = float(best.cost) / np.hypot(*best.x[:2]) ** 2  # of several sizes the larger is the likelier
            found.append((off_by, _moved(best.x, rim.box[:, :2]) / np.array(thing.shape[::-1])))
    return found


def _moved(values: Array, places: Array) -> Array:
    """Return places turned and made larger by the first two of ``values``, and shifted by the others."""
    a, b, x, y = values
    return np.stack([a * places[:, 0] - b * places[:, 1] + x, b * places[:, 0] + a * places[:, 1] + y], axis=1)


def _from_upper_left(box: Array) -> Array:
    """Return a box's corners (4, 2), px, from the upper left one clockwise, its long sides taken for level."""
    sides = np.diff(np.concatenate([box, box[:1]]), axis=0)
    way = sides[int(np.argmax(np.hypot(*sides.T)))]
    along = way / np.hypot(*way) * (1 if way[0] > 0 else -1)
    down = np.array([-along[1], along[0]])
    middle = box.mean(axis=0)
    ahead, below = (box - middle) @ along, (box - middle) @ down
    return np.array([box[np.argmax(a * ahead + b * below)] for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
