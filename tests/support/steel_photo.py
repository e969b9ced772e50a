"""Photographs of an etched bar or blade as a telephone takes them, made up with all that is known about them.

The maker shares nothing with the fit but what the undisturbed preview shows: it moves the metal by fields of its own
(bites that stretch unevenly, a shear, a turn of the tip, eddies), takes the picture with a camera of its own, and
spoils it: light that falls off, glare, clouds in the etch, scratches, a finger, blur, noise, JPEG.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

from preview.blade.handle import behind_heel
from preview.job.job import Job
from preview.pipeline import fields

SCALE = 6.0
"""Pixels in a millimetre of the undisturbed face."""

SKIN = (0.42, 0.22, 0.15)
CARD, THICK, ROUND = (85.60, 53.98), 0.76, 3.18
"""Width and height of a card, its thickness, and the radius of its corners, mm: ISO/IEC 7810, ID-1."""


class Metal:
    """How the metal moved: what the undisturbed preview shows at ``x - moved(x)`` lies at ``x``; mm.

    Parameters
    ----------
    seed
        Starts what is drawn.
    size
        Length and height of the face, mm.
    strength
        Multiplies all of it.
    """

    def __init__(self, seed: int, size: tuple[float, float], strength: float = 1.0) -> None:
        rng = np.random.default_rng([seed, 7])
        self.length, self.height = size
        bites = np.arange(-20.0, self.length + 40, 20) + rng.uniform(0, 20)
        gains = rng.normal(0, 0.025, len(bites)) + rng.normal(0, 0.015)
        slide = np.cumsum(gains * 20)
        self.bites, self.slide = bites, slide - np.interp(self.length / 2, bites, slide)
        self.shift = rng.normal(0, (0.8, 0.4))
        self.spread = rng.normal(0, 0.02)
        self.shear = rng.normal(0, 0.012)
        self.turn = np.radians(rng.normal(0, 1.0))
        self.eddies = [
            (rng.uniform(0, self.length), rng.uniform(0, self.height), rng.uniform(15, 35), rng.normal(0, 0.5),
             rng.uniform(0, 2 * np.pi))
            for _ in range(8)
        ]  # fmt: skip
        self.strength = strength

    def moved(self, along: np.ndarray, across: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return how far the metal that lies at a place was moved, mm along and across."""
        x, y = along - self.length / 2, across - self.height / 2
        ahead = np.interp(along, self.bites, self.slide) + self.shift[0] - self.spread * x + self.shear * y
        aside = self.shift[1] + self.spread * y
        tip = np.clip(x / (self.length / 2), 0, 1) ** 2
        ahead = ahead - self.turn * y * tip
        aside = aside + self.turn * x * tip * 0.5
        for x0, y0, wide, strong, way in self.eddies:
            bump = strong * np.exp(-((along - x0) ** 2 + (across - y0) ** 2) / (2 * wide**2))
            ahead, aside = ahead + bump * np.cos(way), aside + bump * np.sin(way)
        return self.strength * ahead, self.strength * aside


@dataclass(frozen=True)
class Shot:
    """How a photograph was taken.

    Parameters
    ----------
    seed
        Starts all that is drawn at random.
    tilt
        Degrees by which the camera looks askew; None for 0 to 15.
    falloff
        The least light as a share of the most.
    glare, finger, scratches
        Glaring spots; whether a finger lies on it; scratches.
    blur
        Of the lens, mm on the steel, standard deviation; 0.2 is usual, 3 is out of focus.
    quality
        Of the JPEG.
    ground
        ``cloth`` is plain grey, ``wood`` has a grain.
    shows
        ``pattern``, or ``blank`` for steel without any.
    flip
        ``""``, ``mirrored`` (tip to heel), ``upside`` (edge to spine) or ``turned`` (both): how the pattern is laid.
    behind
        What lies behind a blade's heel: its bare ``tang``, or a ``handle``.
    card
        Whether a card lies below it.
    card_size, card_round, on_card
        Its width and height and the radius of its corners, mm, and whether a finger lies on its upper left corner.
    strength
        Multiplies how far the metal moved.
    columns
        Of the photograph, px.
    shift
        How much further along all of the pattern lies, mm.
    metal
        Starts how the metal moved; ``seed`` where it is left out.
    """

    seed: int
    tilt: float | None = None
    falloff: float = 1 / 3
    glare: int = 2
    finger: bool = True
    scratches: int = 25
    blur: float = 0.2
    quality: int = 60
    ground: str = "cloth"
    shows: str = "pattern"
    flip: str = ""
    behind: str = "handle"
    card: bool = False
    card_size: tuple[float, float] = CARD
    card_round: float = ROUND
    on_card: bool = False
    strength: float = 1.0
    columns: int = 2200
    shift: float = 0.0
    metal: int | None = None


@dataclass(frozen=True, eq=False)
class Taken:
    """A photograph, and what is true of it.

    Parameters
    ----------
    jpeg
        The file.
    corners
        Of a box round the face, upper left, upper right, lower right, lower left: shares of the photograph.
    card
        Of the card, likewise; None where none lies there.
    metal
        How the metal moved.
    """

    jpeg: bytes
    corners: np.ndarray
    card: np.ndarray | None
    metal: Metal


def _camera(rng, tilt: float, width: float, tall: float, below: float, columns: int, rows: int):
    """Return lens, turn and shift of a camera that sees ``width`` by ``tall`` mm, its aim ``below`` the face."""
    away = rng.uniform(0, 2 * np.pi)
    lean, nod = np.radians(tilt) * np.array([np.cos(away), np.sin(away)])
    roll = np.radians(rng.uniform(-6, 6))

    def turn(axis: int, angle: float) -> np.ndarray:
        c, s = np.cos(angle), np.sin(angle)
        one, other = [(1, 2), (0, 2), (0, 1)][axis]
        matrix = np.eye(3)
        matrix[one, one] = matrix[other, other] = c
        matrix[one, other], matrix[other, one] = -s, s
        return matrix

    spun = turn(0, nod) @ turn(1, lean) @ turn(2, roll)
    focus = rng.uniform(0.7, 0.95) * columns
    far = focus * max(width / (rng.uniform(0.72, 0.82) * columns), tall / (0.85 * rows))
    shift = np.array([rng.uniform(-0.03, 0.03) * width, rng.uniform(-0.03, 0.03) * width - below, far])
    lens = np.array([[focus, 0, columns / 2], [0, focus, rows / 2], [0, 0, 1]])
    return lens, spun, shift


def photograph(job: Job, side: str, shot: Shot) -> Taken:
    """Take a photograph of a face of the blade (or, of an uncut job, of the bar) of ``job``."""
    rng = np.random.default_rng([shot.seed, 1])
    arrays = fields(job, SCALE)

    # columns from heel to tip, rows from the spine down, whatever side is looked at
    def laid(values):
        return values[:, ::-1] if side == "left" else values

    mask, nickel = laid(arrays[f"{side}_mask"]), laid(arrays[f"{side}_nickel"])
    stand = np.abs(laid(arrays[f"{side}_through"]))
    tall, wide = mask.shape
    length, height = wide / SCALE, tall / SCALE
    outline = job.blade.outline
    metal = Metal(shot.seed if shot.metal is None else shot.metal, (outline.length, outline.height), shot.strength)
    share = np.clip((nickel - nickel[mask].min()) / max(np.ptp(nickel[mask]), 1e-9), 0, 1)
    if shot.shows == "blank":
        share = np.zeros_like(share)
    share = share[:, ::-1] if shot.flip in {"mirrored", "turned"} else share
    share = share[::-1] if shot.flip in {"upside", "turned"} else share

    columns = shot.columns
    rows = int(columns * (0.75 if shot.card else 0.6))
    tilt = rng.uniform(3, 15) if shot.tilt is None else shot.tilt
    size = np.array(shot.card_size)
    room = size[1] + 24 if shot.card else 0.0
    lens, spun, shift = _camera(rng, tilt, length, height + room, room / 2, columns, rows)
    v, u = np.indices((rows, columns)) + 0.5
    ray = spun.T @ np.linalg.inv(lens) @ np.stack([u.ravel(), v.ravel(), np.ones(u.size)])
    eye = spun.T @ shift

    def hit(level: np.ndarray):
        """Where rays meet a height (mm) over the mid-plane, face frame: right, down."""
        go = (eye[2] - level) / ray[2]
        return go * ray[0] - eye[0], go * ray[1] - eye[1]

    def on_face(right, down):
        beside = right + length / 2
        along = length - beside if side == "left" else beside
        return along, height / 2 - down

    level = np.full(u.size, float(stand[mask].mean()))
    for _ in range(3):
        along, across = on_face(*hit(level))
        place = np.stack([(height - across) * SCALE - 0.5, along * SCALE - 0.5])
        level = map_coordinates(stand, place, order=1, mode="nearest")
    along, across = on_face(*hit(level))
    place = np.stack([(height - across) * SCALE - 0.5, along * SCALE - 0.5])
    # the outline is ground by hand: off by a quarter millimetre, differently on each side
    ups = across > height / 2
    start = rng.uniform(0, 2 * np.pi, 4)
    wobble = np.sin(along / 17 + start[0] + 2 * ups) + np.sin(along / 41 + start[1] + 4 * ups) + np.sin(start[2] + ups)
    ends = 0.25 * np.sin(start[3] + 2 * (along > length / 2))
    cut = np.stack([place[0] + 0.2 * SCALE * wobble, place[1] + SCALE * ends])
    on = map_coordinates(mask.astype(np.float32), cut, order=1, mode="grid-constant") > 0.5

    ahead, aside = metal.moved(along, across)
    ahead = ahead + shot.shift
    there = np.stack([(height - across + aside) * SCALE - 0.5, (along - ahead) * SCALE - 0.5])
    bright = map_coordinates(share.astype(np.float32), there, order=1, mode="nearest")
    clouds = gaussian_filter(rng.standard_normal((rows // 8, columns // 8)), 6)
    clouds = map_coordinates(clouds / clouds.std(), np.stack([v.ravel() / 8, u.ravel() / 8]), order=1, mode="nearest")
    steel = np.exp(np.log(0.07) + bright * rng.uniform(1.7, 2.3) + 0.1 * clouds)
    steel = steel * (1 + 0.06 * gaussian_filter(rng.standard_normal((rows, columns)), (0.4, 6)).ravel() * 4)
    grain = gaussian_filter(rng.standard_normal((rows, columns)), (1, 40) if shot.ground == "wood" else 0.7)
    grain = grain / grain.std()
    if shot.ground == "wood":
        ground = np.array([0.34, 0.2, 0.11]) * np.exp(0.25 * grain.ravel())[:, None]
    else:
        ground = np.array([0.2, 0.2, 0.21]) * np.exp(0.03 * grain.ravel())[:, None]
    light = np.where(on[:, None], steel[:, None] * [1.0, 0.99, 0.97], ground)
    for part, tone in _behind(outline, shot.behind, rng):
        light[shapely.contains_xy(part, along, across)] = tone
    lies = float(stand[mask].max())  # the ground, under the mid-plane
    card = None
    if shot.card:
        right, down = hit(np.full(u.size, THICK - lies))
        turn = np.radians(rng.uniform(-6, 6))
        x0, y0 = rng.uniform(-0.2, 0.2) * length, height / 2 + 12 + size[0] / 2 * abs(np.sin(turn)) + size[1] / 2
        a = (right - x0) * np.cos(turn) + (down - y0) * np.sin(turn)
        b = (down - y0) * np.cos(turn) - (right - x0) * np.sin(turn)
        beyond = np.maximum(np.abs(np.stack([a, b])) - size[:, None] / 2 + shot.card_round, 0)
        tone = rng.choice([[0.75, 0.74, 0.7], [0.1, 0.2, 0.45], [0.5, 0.09, 0.08]])
        light[np.hypot(*beyond) <= shot.card_round] = tone
        ends = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * size / 2
        spun_ends = ends @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        if shot.on_card:
            x, y = a + size[0] / 2, b + size[1] / 2
            light[(np.hypot(x - 6, y - 4) < 9) | ((np.abs(y - 4) < 9) & (x < 6))] = SKIN
        card = np.column_stack([spun_ends + np.array([x0, y0]), np.full(4, lies - THICK)])
    light = light.reshape(rows, columns, 3)
    per_mm = lens[0, 0] / shift[2]
    for _ in range(shot.scratches):
        x, y, way = rng.uniform(0, columns), rng.uniform(rows * 0.3, rows * 0.7), rng.uniform(0, np.pi)
        steps = np.arange(0, rng.uniform(5, 60) * per_mm)
        r, c = (y + steps * np.sin(way)).astype(int), (x + steps * np.cos(way)).astype(int)
        good = (r >= 0) & (r < rows - 1) & (c >= 0) & (c < columns - 1)
        good[good] = on.reshape(rows, columns)[r[good], c[good]]
        light[r[good], c[good]] = rng.choice([0.03, 0.55])
    way = rng.uniform(0, 2 * np.pi)
    fall = (u / columns - 0.5) * np.cos(way) + (v / rows - 0.5) * np.sin(way)
    fall = (fall - fall.min()) / np.ptp(fall)
    light *= (1 - (1 - shot.falloff) * fall)[..., None] * rng.uniform(0.8, 1.2)
    inside = np.argwhere(on.reshape(rows, columns))
    for _ in range(shot.glare):
        r, c = inside[rng.integers(len(inside))]
        spot = np.exp(-(((u - c) / (9 * per_mm)) ** 2 + ((v - r) / (4 * per_mm)) ** 2))
        light += (1.2 * spot * on.reshape(rows, columns))[..., None]
    if shot.finger:
        # a tenth of the face: a rounded stripe that comes in from above or below
        c = rng.choice(inside[:, 1])
        half = 0.05 * length * per_mm
        from_top = rng.random() < 0.5
        middle = np.median(inside[inside[:, 1] == c][:, 0])
        end = (v < middle) if from_top else (v > middle)
        tip = np.hypot(u - c, v - middle) < half
        light[(np.abs(u - c) < half) & end | tip] = np.array(SKIN) * rng.uniform(0.7, 1.1)
    light = gaussian_filter(light, (shot.blur * per_mm, shot.blur * per_mm, 0))
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    shown = 255 * coded + rng.normal(0, 2.5, light.shape)  # IEC 61966-2-1
    picture = Image.fromarray(np.uint8(np.clip(np.rint(shown), 0, 255)))
    picture.save(stream := io.BytesIO(), "JPEG", quality=shot.quality)
    box = np.array([(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)]) * [outline.length / 2, outline.height / 2, 0]
    box += [(outline.length - length) / 2 * (-1 if side == "left" else 1), (height - outline.height) / 2, 0]
    box[:, 2] = -float(stand[mask].mean())

    def shares(points):
        seen = lens @ (spun @ points.T + shift[:, None])
        return (seen[:2] / seen[2]).T / [columns, rows]

    return Taken(stream.getvalue(), shares(box), None if card is None else shares(card), metal)


def _behind(outline, kind: str, rng):
    """Yield what lies behind a blade's heel, as polygons (along, across, mm) and their linear light."""
    if not outline.tang_length:
        return
    whole = behind_heel(outline, "none" if kind == "tang" else "plain")
    ahead = rng.uniform(-1.0, 2.0)  # a handle or its bolster seldom ends just at the heel
    for ring, tone, by in ((whole.tang, (0.12, 0.12, 0.12), 0.0), (whole.handle, (0.09, 0.05, 0.03), ahead)):
        if ring.size:
            grown = (ring - ring.mean(axis=0)) * (1.0, rng.uniform(0.9, 1.15)) + ring.mean(axis=0) + (by, 0)
            yield shapely.Polygon(grown), np.array(tone) * rng.uniform(0.7, 1.3)
