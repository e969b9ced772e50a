"""The sheet of paper in a photograph: where its corners are, how long its sides are to each other, and laid flat."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
from PIL import Image

from preview.base.arrays import Array, Bytes, Float32

Corners = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]
"""Upper left, upper right, lower right, lower left: rightwards and downwards, in shares of the photograph."""

WHOLE: Corners = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))

LOOKED_AT = 480
"""Pixels of the longer side at which the sheet's sides are looked for."""

WIDEST_STROKE = 15
"""Strokes up to so many of those pixels wide are taken off the sheet before its sides are looked for."""

WEAKEST, STRONGEST = 0.05, 0.12
"""Steps in the logarithm of the light that may belong to a side, and that start one."""

SIDES_TILT = 40
"""Degrees that a side of the sheet may lean from upright or level."""

LEAN = 6
"""Degrees between an edge's own direction and the line that it may lie on."""

CANDIDATES = 5
"""Lines that are tried for each side."""

SMALLEST_SHEET = 0.12
"""Least share of the photograph that the sheet takes up."""

PROFILES = 160
"""Places along each side at which it is looked for anew, at the photograph's own sharpness."""

BEYOND = 0.02
"""How far a corner may lie outside the photograph, as a share of it."""

LEAST_COVER, MEAN_COVER = 0.5, 0.72
"""Shares of a side, and of all four together, along which an edge has to be seen."""

SHORTEST_FOCUS, LONGEST_FOCUS = 0.6, 4.0
"""Focal lengths of telephones' cameras, in long sides of their picture (common practice, no published source)."""


def find_corners(light: Float32) -> Corners | None:
    """Return the corners of a sheet that stands out brighter from the table; None where none is seen whole.

    Parameters
    ----------
    light
        The photograph's linear light ``(rows, columns)``, 0 to 1.
    """
    step = max(1.0, max(light.shape) / LOOKED_AT)
    size = (round(light.shape[1] / step), round(light.shape[0] / step))
    points, angles = _edges(np.asarray(Image.fromarray(light).resize(size, Image.Resampling.BOX)))
    points -= np.array(size) / 2
    sides = [_lines(points, angles, 90 * side, size) for side in range(4)]
    best, corners = 0.0, None
    for left, top, right, bottom in product(*sides):
        found = _sheet((left, top, right, bottom), size)
        if found is not None and found[0] > best:
            best, corners = found
    if corners is None:
        return None
    whole = np.array(light.shape[::-1])
    exact = _sharper(light, (corners / np.array(size) + 0.5) * whole, 1.5 * step) / whole
    return tuple((float(x), float(y)) for x, y in exact)  # type: ignore[return-value]


def _sharper(light: Float32, corners: Array, reach: float) -> Array:
    """Return the corners (4, 2), px, from where the light steps most steeply within ``reach`` px of each side."""
    from scipy.ndimage import gaussian_filter, map_coordinates

    soft = gaussian_filter(light, 1.5)
    sides = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        inward = np.array([start[1] - end[1], end[0] - start[0]]) / np.hypot(*(end - start))
        # not quite to the corners, where the other side's step is seen
        along = start + np.linspace(0.04, 0.96, PROFILES)[:, None] * (end - start)
        depth = np.arange(-np.ceil(reach), np.ceil(reach) + 1)
        places = along[:, None] + depth[:, None] * inward - 0.5
        profile = map_coordinates(soft, [places[..., 1], places[..., 0]], order=1, mode="nearest")
        steps = np.clip(np.diff(profile, axis=1), 0, None)
        near = np.abs(np.arange(steps.shape[1]) - steps.argmax(axis=1)[:, None]) <= 2
        weight = np.where(near, steps, 0)
        off = (weight * (depth[:-1] + 0.5)).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9)
        points = along + off[:, None] * inward
        good = np.ones(len(points), dtype=bool)
        for _ in range(4):
            middle = points[good].mean(axis=0)
            way = np.linalg.svd(points[good] - middle, full_matrices=False)[2][0]
            beside = np.abs((points - middle) @ [-way[1], way[0]])
            good = beside <= max(1.0, 2 * float(np.median(beside)))
        sides.append((middle, way))
    exact = []
    for (middle, way), (other, across) in zip([sides[-1], *sides[:-1]], sides, strict=True):
        go = np.linalg.solve(np.stack([way, -across], axis=1), other - middle)
        exact.append(middle + go[0] * way)
    return np.array(exact)


def _edges(small: Float32) -> tuple[Array, Array]:
    """Return where the light steps (n, 2), and the direction (degrees) in which it grows."""
    from scipy.ndimage import gaussian_filter, grey_closing
    from skimage.feature import canny

    # the logarithm makes a step in the shade as high as one in the light; the closing takes strokes off the sheet
    light = grey_closing(np.log(small + 0.005), size=(WIDEST_STROKE, WIDEST_STROKE), mode="nearest")
    seen = canny(light, sigma=1.5, low_threshold=WEAKEST, high_threshold=STRONGEST, mode="nearest")
    right = gaussian_filter(light, 1.5, order=(0, 1), mode="nearest")
    down = gaussian_filter(light, 1.5, order=(1, 0), mode="nearest")
    row, column = np.nonzero(seen)
    angles = np.degrees(np.arctan2(down[row, column], right[row, column]))
    return np.stack([column + 0.5, row + 0.5], axis=1), angles


class _Line:
    """A line with the bright side where its normal points, and the stretches of it along which an edge is seen."""

    def __init__(self, angle: float, rho: float, seen: Array) -> None:
        self.normal = np.array([np.cos(angle), np.sin(angle)])
        self.along = np.array([-self.normal[1], self.normal[0]])
        self.rho = rho
        places = np.rint(seen @ self.along).astype(int)
        self._seen = {place + near for place in places for near in (-1, 0, 1)}

    def cover(self, start: Array, end: Array) -> float:
        """Return the share of the way between two points of the line along which an edge is seen."""
        low, high = sorted((float(start @ self.along), float(end @ self.along)))
        way = range(round(low), round(high) + 1)
        return sum(place in self._seen for place in way) / len(way)

    def meet(self, other: _Line) -> Array:
        """Return where two lines cross."""
        return np.asarray(np.linalg.solve(np.stack([self.normal, other.normal]), [self.rho, other.rho]))


def _lines(points: Array, angles: Array, facing: float, size: tuple[int, int]) -> list[_Line]:
    """Return the lines with most edges on them whose bright side lies towards ``facing`` (degrees)."""
    off = (angles - facing + 180) % 360 - 180
    near = np.abs(off) <= SIDES_TILT
    points, off = points[near], off[near]
    reach = int(np.hypot(*size) / 2) + 2
    votes = np.zeros((2 * SIDES_TILT + 1, 2 * reach + 1))
    for lean in range(-LEAN, LEAN + 1):
        turn = np.clip(np.rint(off + lean), -SIDES_TILT, SIDES_TILT)
        angle = np.radians(turn + facing)
        rho = points[:, 0] * np.cos(angle) + points[:, 1] * np.sin(angle)
        np.add.at(votes, ((turn + SIDES_TILT).astype(int), np.rint(rho).astype(int) + reach), 1.0)
    return list(_peaks(votes, points, off, facing, min(size)))


def _peaks(votes: Array, points: Array, off: Array, facing: float, short: int) -> Iterator[_Line]:
    reach = votes.shape[1] // 2
    for _ in range(CANDIDATES):
        turn, place = np.unravel_index(int(votes.argmax()), votes.shape)
        if votes[turn, place] < short / 8:
            return
        angle, rho = np.radians(float(turn) - SIDES_TILT + facing), float(place - reach)
        for wide in (3.0, 2.0, 1.5):  # drawn to the edges beside it, ever closer
            beside = points[:, 0] * np.cos(angle) + points[:, 1] * np.sin(angle) - rho
            leaning = np.abs(off + facing - np.degrees(angle)) < 3 * LEAN
            seen = points[(np.abs(beside) < wide) & leaning]
            if len(seen) < 8:
                break
            middle = seen.mean(axis=0)
            way = np.linalg.svd(seen - middle, full_matrices=False)[2][0]
            exact = np.arctan2(-way[0], way[1])
            angle += (exact - angle + np.pi / 2) % np.pi - np.pi / 2
            rho = float(middle @ [np.cos(angle), np.sin(angle)])
        yield _Line(float(angle), rho, seen)
        low, left = max(0, turn - LEAN), max(0, place - 4)
        votes[low : turn + LEAN + 1, left : place + 5] = 0


def _sheet(sides: tuple[_Line, _Line, _Line, _Line], size: tuple[int, int]) -> tuple[float, Array] | None:
    """Return how well four sides (left, top, right, bottom) make a sheet, and its corners; None where they do not."""
    corners = np.array([sides[k].meet(sides[(k + 1) % 4]) for k in range(4)])
    ahead = np.roll(corners, -1, axis=0) - corners
    turns = ahead[:, 0] * np.roll(ahead, -1, axis=0)[:, 1] - ahead[:, 1] * np.roll(ahead, -1, axis=0)[:, 0]
    beyond = np.abs(corners) / np.array(size) - 0.5
    inward = all(side.normal @ corners.mean(axis=0) > side.rho for side in sides)  # the sheet is the brighter
    if not inward or (turns <= 0).any() or beyond.max() > BEYOND:
        return None
    x, y = corners.T
    area = 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    if area < SMALLEST_SHEET * size[0] * size[1]:
        return None
    cover = [sides[k].cover(corners[k - 1], corners[k]) for k in range(4)]
    mean = sum(cover) / 4
    if min(cover) < LEAST_COVER or mean < MEAN_COVER:
        return None
    return mean**2 * area, corners


def proportion(corners: Corners, width: float, height: float) -> float:
    """Return width over height of the sheet whose ``corners`` are seen in a photograph of ``width`` x ``height`` px.

    A rectangle's perspective tells the camera's focal length and the rectangle's proportions: Zhang and He,
    Whiteboard scanning and image enhancement, Digital Signal Processing 17 (2007) 414 (from memory). The
    photograph's middle is taken for the lens's axis; where the perspective is too faint to tell the focal length,
    a usual one is taken.
    """
    places = (np.array(corners) - 0.5) * [width, height]
    long = max(width, height)
    upper_left, upper_right, lower_right, lower_left = (np.array([x / long, y / long, 1.0]) for x, y in places)
    diagonal = np.cross(upper_left, lower_right)
    across = (diagonal @ lower_left) / (np.cross(upper_right, lower_right) @ lower_left) * upper_right - upper_left
    down = (diagonal @ upper_right) / (np.cross(lower_left, lower_right) @ upper_right) * lower_left - upper_left
    faint = across[2] * down[2]
    squared = -(across[:2] @ down[:2]) / faint if abs(faint) > 1e-4 else 1.0
    squared = float(np.clip(squared, SHORTEST_FOCUS**2, LONGEST_FOCUS**2))
    lengths = [float(side[:2] @ side[:2]) / squared + float(side[2]) ** 2 for side in (across, down)]
    return float(np.sqrt(lengths[0] / lengths[1]))


def cut_out(corners: Corners, crop: tuple[float, float, float, float]) -> Corners:
    """Return the corners in the photograph of a piece (left, top, right, bottom, in shares) of the straight sheet."""
    from skimage.transform import ProjectiveTransform

    left, top, right, bottom = crop
    carry = ProjectiveTransform.from_estimate(np.array(WHOLE), np.array(corners))
    piece = carry(np.array([(left, top), (right, top), (right, bottom), (left, bottom)]))
    return tuple((float(x), float(y)) for x, y in piece)  # type: ignore[return-value]


def lay_flat(photo: Bytes, corners: Corners, size: tuple[int, int]) -> Bytes:
    """Return the sheet as if seen straight from above: RGB bytes of ``size`` (columns, rows).

    Parameters
    ----------
    photo
        RGB bytes ``(rows, columns, 3)``.
    corners
        The sheet's corners.
    size
        Columns and rows of what is returned.
    """
    layers = [lay_flat_layer(photo[..., layer].astype(np.float32), corners, size) for layer in range(3)]
    return np.asarray(np.clip(np.rint(np.stack(layers, axis=-1)), 0, 255).astype(np.uint8))


def lay_flat_layer(layer: Float32, corners: Corners, size: tuple[int, int]) -> Float32:
    """Return one layer ``(rows, columns)`` of a photograph as `lay_flat` does."""
    from skimage.transform import ProjectiveTransform, warp

    columns, rows = size
    here = np.array(WHOLE) * size - 0.5
    there = np.array(corners) * [layer.shape[1], layer.shape[0]] - 0.5
    carry = ProjectiveTransform.from_estimate(here, there)
    return np.asarray(warp(layer, carry, output_shape=(rows, columns), order=1, mode="edge"), dtype=np.float32)


def on_sheet(places: Array, corners: Corners) -> Array:
    """Return where places (n, 2) of a photograph, in shares of it, lie on the sheet, in shares of that."""
    from skimage.transform import ProjectiveTransform

    return np.asarray(ProjectiveTransform.from_estimate(np.array(corners), np.array(WHOLE))(np.asarray(places)))
