"""A card of known size looked for beside a bar or blade whose pose is known roughly: a rectangle among the edges.

The ground is laid straight by the bar's own pose, and a frame of the card's size is tried at every place and turn: each
of its four sides has to run along edges that face the right way. What is found is measured at the photograph's own
sharpness, and is a card only if its size is the one that is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import RequestError
from preview.base.units import Sentence, mm, say
from preview.seen.camera import Pose
from preview.seen.card import AROUND, CARD_SIZE, ROUND, THICK, Card, on_ground
from preview.seen.edges import CLEAR, look
from preview.seen.following import Followed, follow
from preview.seen.rim import Rim

AROUND_BAR = 25.0
"""How far (mm) a card may lie from the steel, beyond its own size."""

RIM = 3.0
"""Round the steel no edge is a card's, mm."""

STEP = 3
"""Degrees between two turns that are tried."""

LEAN = 9.0
"""Degrees between an edge's own way and the side that it may lie on: a camera held askew turns opposite sides."""

FAINTEST, OVER_GROUND = 0.05, 3.0
"""Change of the logarithm of the light in a mm that may be an edge's, and over the ground's own, in its medians."""

SLACK = 3
"""How far (mm) off a frame of the exact size an edge may lie at first."""

LEAST_SIDE, LEAST_FRAME = 0.35, 0.6
"""Share of each side, and of all four, along which an edge has to be seen: a finger may lie on one."""

LEVEL = 1.0
"""How far (mm) off its side's own line an edge may lie, measured."""

REACHES = (2.0, 1.0)
"""How far (mm, standard deviation) edges are looked for, one after the other."""

MOST_OFF, MOST_UNLIKE = 0.065, 0.05
"""By how much of its size a card may seem larger or smaller, and by how much longer for its height, before it is none:
on 24 made-up photographs the bar's own pose had it 0.06 and 0.035 off at most."""

SAME_SHAPE = 0.035
"""By how much longer for its height a thing may seem that is a card by its shape."""

WORST_RIM = 0.4
"""How far (mm) off the steel's outline may lie once a card tells how the camera was held: on those 24, 0.34 at most."""

WITHIN, SQUARE = 0.6, 0.6
"""How far (mm) within a corner it is looked whether it is round, and the share of the card's light on the ground's from
which on it is none: a bank card's corners are 3.18 mm round (ISO/IEC 7810), those of a cut card or a note are not."""


@dataclass(frozen=True, eq=False)
class Rectangle:
    """A rectangle that lies beside the steel.

    Parameters
    ----------
    corners
        Where they are seen, shares of the photograph, ``(4, 2)``, from the upper left one clockwise.
    size
        Its width and height as the bar's pose has them, mm.
    known
        Width and height of the card that it was looked for as, the way round that it lies, mm.
    square
        Whether its corners are seen to be square.
    """

    corners: Array
    size: tuple[float, float]
    known: tuple[float, float]
    square: bool

    @property
    def like_a_card(self) -> bool:
        """Whether it has the proportions of what it was looked for as, and no corners that this has not."""
        larger = np.divide(self.size, self.known)
        return abs(larger[0] / larger[1] - 1) <= SAME_SHAPE and not (self.square and self._usual)

    @property
    def _usual(self) -> bool:
        return sorted(self.known) == sorted(CARD_SIZE)

    @property
    def why_not(self) -> Sentence | None:
        """Why it is not the card that it was looked for as; None where it is."""
        larger = np.divide(self.size, self.known)
        if np.abs(larger - 1).max() > MOST_OFF or abs(larger[0] / larger[1] - 1) > MOST_UNLIKE:
            words = "A rectangle of about {} lies beside it, not a card of {}: it is left out."
            return say(words, mm(*self.size, form=".0f"), mm(*self.known, form=".4g"))
        if self.square and self._usual:
            words = "What lies beside it is nearly of a bank card's size, but its corners are square: it is left out."
            return say(words)
        return None


def follow_beside(
    pixels: Float32, rim: Rim, followed: Followed, size: tuple[float, float]
) -> tuple[Followed, Sentence | None]:
    """Return a face followed together with a card of ``size`` (mm) that is found beside it, and what is said of that.

    Where none is found nothing is said, and where what lies there is none, why; then it is as it was ``followed``.

    Raises
    ------
    RequestError
        If what lies there is a card by its shape, and the steel's outline contradicts its size: a finger over one end
        looks like an end.
    """
    found = find_card(pixels, rim, followed.pose, size)
    if found is None:
        return followed, None
    if found.why_not is not None and not found.like_a_card:
        return followed, found.why_not
    with_card = follow(pixels, rim, followed.pose, Card(found.corners, found.known))
    if found.why_not is not None or with_card.off > WORST_RIM:
        problem = (
            "a card seems to lie beside it, of {} by the steel's outline, which is {}: is an end of the steel hidden? "
            "Take it anew with both ends free; if that is no card, take it away"
        )
        raise RequestError.at("photo", say(problem, mm(*found.size, form=".0f"), mm(*found.known)))
    corners = ",".join(f"{share:.4f}" for share in found.corners.ravel())
    words = (
        "A card of {} is seen beside it, and tells how the camera was held; its corners lie at {} (shares of the "
        "photograph): look whether they do."
    )
    return with_card, say(words, mm(*found.known), corners)


def find_card(pixels: Float32, rim: Rim, pose: Pose, size: tuple[float, float]) -> Rectangle | None:
    """Return the rectangle beside the steel that is likest a card of ``size`` (mm); None where none is like it.

    ``pixels`` is the logarithm of the photograph's linear light, ``(rows, columns, 3)``, ``pose`` the one in which the
    rim was followed.
    """
    lies = rim.lies - THICK
    places, ways = _edges(pixels, rim, pose, lies, float(np.hypot(*size)) + AROUND_BAR)
    best, frame, at, turned = 0.0, size, np.zeros(2), 0.0
    for turn in range(-45, 45, STEP):
        c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        spun = places @ np.array([[c, -s], [s, c]])
        low = np.floor(spun.min(axis=0, initial=0.0))
        shape = (spun.max(axis=0, initial=0.0) - low).astype(int) + 2
        off = (ways - turn + 45) % 180 - 45  # 0 is an edge that faces along the frame, 90 one that faces down
        sides = [_runs(spun[np.abs(off - facing) < LEAN] - low, shape, axis) for axis, facing in enumerate((0, 90))]
        for wide, tall in {size, size[::-1]}:
            share, place = _likest(sides, round(wide), round(tall))
            if share > best:
                best, frame, turned = share, (wide, tall), np.radians(turn)
                at = (place + low) @ np.array([[c, s], [-s, c]])
    return None if best < LEAST_FRAME else _measured(pixels, pose, lies, frame, np.array([*at, turned]))


def _edges(pixels: Float32, rim: Rim, pose: Pose, lies: float, around: float) -> tuple[Array, Array]:
    """Return where the light changes on the ground beside the steel (n, 2), mm, and which way, 0 to 180 degrees."""
    from scipy.ndimage import binary_erosion, gaussian_filter, map_coordinates

    low, high = rim.box[:, :2].min(axis=0) - around, rim.box[:, :2].max(axis=0) + around
    right, down = (np.arange(*ends) for ends in zip(low, high, strict=True))
    grid = np.stack([*np.meshgrid(right, down), np.full((len(down), len(right)), lies)], axis=-1)
    step = max(1, round(pose.per_mm / 2))
    rows, columns = (size // step for size in pixels.shape[:2])
    small = pixels[: rows * step, : columns * step].reshape(rows, step, columns, step, 3).mean(axis=(1, 3))
    at = pose.project(grid.reshape(-1, 3)) / step - 0.5
    here = ((at > 0) & (at < np.array([columns, rows]) - 1)).all(axis=1).reshape(grid.shape[:2])
    across = np.zeros((3, *here.shape))  # of the change of all layers: rightwards, downwards, both
    for layer in range(3):
        light = map_coordinates(small[..., layer], at.T[::-1], order=1, mode="nearest").reshape(here.shape)
        ahead, below = (gaussian_filter(light, 1.0, order=order) for order in ((0, 1), (1, 0)))
        across += (ahead**2, below**2, ahead * below)
    steep = np.sqrt((across[0] + across[1]) / 2 + np.hypot((across[0] - across[1]) / 2, across[2]))
    ways = np.degrees(np.arctan2(2 * across[2], across[0] - across[1])) / 2 % 180
    here = binary_erosion(here, iterations=3) & ~_on_steel(rim, grid)
    clear = here & (steep > max(FAINTEST, OVER_GROUND * float(np.median(steep[here])))) if here.any() else here
    return grid[clear][:, :2], ways[clear]


def _on_steel(rim: Rim, grid: Array) -> Mask:
    steel = shapely.Polygon(rim.places[:, :2]).buffer(0).buffer(RIM)
    shapely.prepare(steel)
    return np.asarray(shapely.contains_xy(steel, grid[..., 0], grid[..., 1]))


def _runs(places: Array, shape: Array, axis: int) -> Mask:
    """Return where edges (n, 2), mm, that face along ``axis`` lie within `SLACK`, a place each mm, ``shape``."""
    from scipy.ndimage import maximum_filter1d

    there = np.zeros(shape, dtype=np.uint8)
    there[tuple(np.rint(places).astype(int).T)] = 1
    return np.asarray(maximum_filter1d(there, 2 * SLACK + 1, axis=axis, mode="constant"))


def _likest(sides: list[Mask], wide: int, tall: int) -> tuple[float, Array]:
    """Return along what share of a frame edges run at its best place, and where its middle lies then, mm."""
    from scipy.ndimage import uniform_filter1d

    runs = [
        uniform_filter1d(side.astype(np.float32), max(1, size - 2 * round(ROUND)), axis=1 - axis, mode="constant")
        for axis, (side, size) in enumerate(zip(sides, (tall, wide), strict=True))
    ]
    across, down = slice(wide // 2, wide // 2 - wide), slice(tall // 2, tall // 2 - tall)
    each = [runs[0][:-wide, down], runs[0][wide:, down], runs[1][across, :-tall], runs[1][across, tall:]]
    if not each[0].size:
        return 0.0, np.zeros(2)
    share = np.where(np.minimum.reduce(each) < LEAST_SIDE, 0, sum(each) / 4)
    best = np.array(np.unravel_index(int(share.argmax()), share.shape))
    # within the slack many places are as good: the middle of them
    alike = np.argwhere(share > share[tuple(best)] - 0.03)
    near = alike[(np.abs(alike - best) <= 2 * SLACK).all(axis=1)]
    return float(share.max()), near.mean(axis=0) + np.array([wide // 2, tall // 2])


def _measured(pixels: Float32, pose: Pose, lies: float, known: tuple[float, float], placed: Array) -> Rectangle | None:
    """Return a rectangle measured at the photograph's own sharpness; None where its sides are not seen well enough."""
    size = known
    for reach in REACHES:
        card = Card(np.zeros((4, 2)), size)
        line, normals = card.line()
        there, out = on_ground(placed, line, normals, lies)
        edges = look(pixels, there, out, pose, reach)
        far, clear = -edges.off(pose.project(there)), (edges.weight > 0) & (edges.rise > CLEAR)
        sides, seen = [], []
        for axis, side in product((0, 1), (-1.0, 1.0)):
            on = normals[:, axis] == side
            level, share = _level(line[on, 1 - axis], far[on], clear[on])
            sides.append((side * (size[axis] / 2 + level[1]), side * level[0]))
            seen.append((share, int(on.sum())))
        shares, counts = np.array(seen).T
        if shares.min() < LEAST_SIDE or np.average(shares, weights=counts) < LEAST_FRAME:
            return None
        (left, right), (top, bottom) = sides[:2], sides[2:]
        corners = np.array([_crossing(*pair) for pair in ((left, top), (right, top), (right, bottom), (left, bottom))])
        ahead = (corners[[1, 2]] - corners[[0, 3]]).mean(axis=0)
        down = (corners[[3, 2]] - corners[[0, 1]]).mean(axis=0)
        size = float(np.hypot(*ahead)), float(np.hypot(*down))
        on_photo = pose.project(on_ground(placed, corners, corners, lies)[0]) / np.array(pose.size)
        middle = on_ground(placed, corners.mean(axis=0)[None], np.zeros((1, 2)), lies)[0][0, :2]
        placed = np.array([*middle, placed[2] + np.arctan2(ahead[1], ahead[0])])
    return Rectangle(on_photo, size, known, _square(pixels, pose, lies, placed, size))


def _square(pixels: Float32, pose: Pose, lies: float, placed: Array, size: tuple[float, float]) -> bool:
    """Say whether a rectangle's corners are square: whether it is as light just within them as further in."""
    from scipy.ndimage import map_coordinates

    half = np.array(size) / 2
    places = np.concatenate([AROUND * (half - far) for far in (WITHIN, 2 * ROUND, -ROUND / 2)])
    at = pose.project(on_ground(placed, places, places, lies)[0]) - 0.5
    light = [map_coordinates(pixels[..., n], at.T[::-1], order=1, mode="nearest") for n in range(3)]
    corner, card, ground = np.exp(np.stack(light, axis=-1)).reshape(3, 4, 3)
    way = card - ground
    share = ((corner - ground) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-9)
    return float(np.median(share)) > SQUARE


def _level(along: Array, far: Array, clear: Mask) -> tuple[Array, float]:
    """Return the line (slope, height) on which most of ``far`` (n,) lie ``along`` a side, and what share does."""
    line = np.array([0.0, float(np.median(far[clear])) if clear.any() else 0.0])
    near = clear
    for _ in range(4):
        near = clear & (np.abs(far - np.polyval(line, along)) < LEVEL)
        if near.sum() < 4:
            return line, 0.0
        line = np.polyfit(along[near], far[near], 1)
    return line, float(near.mean())


def _crossing(upright: tuple[float, float], level: tuple[float, float]) -> Array:
    """Return where ``x = a + b y`` and ``y = c + d x`` cross."""
    (a, b), (c, d) = upright, level
    x = (a + b * c) / (1 - b * d)
    return np.array([x, c + d * x])
