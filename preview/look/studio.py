"""The studio as tables: how much light comes from each direction, and what each finish of steel makes of it.

All plain data in one documented frame, so that whatever draws the blade (numpy here, a browser's shader) looks up the
same numbers.

**Frame.** Directions are unit vectors ``r`` = (right, up, towards the viewer), as the studio stands with the light at
`preview.look.light.BOX`. A table is square and holds them by their stereographic coordinates
``c = (r.right, r.up) / (1 + r.towards)``: the middle looks back at the viewer, the unit circle is the picture's plane,
and within ``+-REACH`` lies all up to 127 degrees off the view. Row 0 is the lowest; cell ``i`` of ``n`` has its middle
at ``c = ((i + 0.5) / n * 2 - 1) REACH``. A facet whose slopes are (p, q) = (d height / d right, d height / d up)
mirrors to a viewer straight on what comes from ``c = (-p, -q)``: the map of directions is a map of slopes as well.

Any facet ``m = T (-p, -q, 1)`` of a blade turned by ``T``, under a light moved by ``L`` (`Light.to_studio`), seen along
the unit vector ``v``, mirrors ``r = L (2 (m.v) / (m.m) m - v)``; nothing is made anew for it.

**Unit.** Radiance, 1 being that of a white card square to the viewer; in an even studio all of it is 1.

**Model.** A finish is a Gaussian of facet slopes, narrow along its scratches and wide across them (Beckmann's facets,
as in Cook & Torrance, ACM Trans. Graph. 1 (1982) 7-24: from memory); an oxide is matt (Lambert) with a weak gloss.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from preview.base.arrays import Array, Float32
from preview.look.light import Light

REACH = 2.0
SIZE, GLOSSY, SMALL = 256, 128, 64
"""Cells of a table each way: of the keen ones, of gloss, and of the soft ones."""

ASKEW = 0.5
"""By how many degrees a window leans to the side for each that it is higher (chosen by eye)."""

BARS = ((-25, 2.6), (-9, 1.6))
"""Where the window's bars stand and how wide they are, degrees (chosen by eye)."""

HORIZON, SILL = (-2.0, 0.4), 0.06
"""Between which heights the bench's far end and the window's foot lie, degrees, and by how many they fall for each to
the right: a flat seen straight on looks over it, any bevel below it (chosen by eye)."""

LAMPS = (33, 26, 0.88)
"""Where one of the long lamps hangs, how far apart they are about, degrees, and how bright they are (chosen by eye)."""

FAR_APART = 0.12
"""How far apart cells are, in coordinates, that are blurred by as much; narrower ones by less, as its square."""

GLOSS = (0.05, 0.36)
"""Slope's standard deviation of the oxide's gloss; the second table is for facets seen aslant (chosen by eye)."""


@dataclass(frozen=True)
class Finish:
    """How the bright steel's facets lean: standard deviations of their slopes along and across the blade.

    Parameters
    ----------
    along, across
        Scatter of the slopes that is too fine to be seen as scratches.
    scratches
        Scatter of the slopes, square to them, of scratches that are seen.
    lengthwise
        Whether the scratches run along the blade.
    """

    along: float
    across: float
    scratches: float
    lengthwise: bool = True


def finish_of(light: Light) -> Finish:
    """Return the finish that is asked for; sizes are chosen by eye, finer with the square root of the grit."""
    coarse = float(np.sqrt(400 / light.grit))
    wide, seen = float(np.clip(0.065 * coarse, 0.04, 0.2)), float(np.clip(0.022 * coarse, 0.006, 0.05))
    narrow = max(0.019, 0.25 * wide)
    match light.finish:
        case "polished":
            return Finish(0.013, 0.013, 0.001)
        case "hand-rubbed along":
            return Finish(0.7 * narrow, 0.8 * wide, 0.7 * seen)
        case "hand-rubbed across":
            return Finish(0.8 * wide, 0.7 * narrow, 0.7 * seen, lengthwise=False)
        case _:
            return Finish(narrow, wide, seen)


@dataclass(frozen=True, eq=False)
class Tables:
    """What a shader looks up, beside `room` itself; float32, frame and unit as told above.

    Parameters
    ----------
    core
        ``(SIZE, SIZE)``: the studio seen in facets that scatter by `narrow` alike both ways.
    gloss
        ``(2, GLOSSY, GLOSSY)``: the studio seen in the oxide's gloss, for `GLOSS` each.
    matt
        ``(SMALL, SMALL)``: what a white matt surface sends back, by the direction of its normal.
    narrow
        Standard deviation of slope that ``core`` was made with.
    steps, weights
        The bright steel is the weighted sum of ``core`` over facets whose slope, square to the scratches, is off by
        ``steps``; the weights add up to 1, and are yet to be multiplied by ``max(m.v, 0)``.
    """

    core: Float32
    gloss: Float32
    matt: Float32
    narrow: float
    steps: Float32
    weights: Float32


def make_tables(light: Light) -> Tables:
    """Return the tables of a studio and a finish; where the light stands and how the blade is held changes none."""
    finish, room = finish_of(light), room_of(light.studio)
    narrow, wide = sorted((finish.along, finish.across))
    rest = float(np.sqrt(max(wide * wide - narrow * narrow, 1e-12)))
    steps = np.linspace(-2.6, 2.6, 9) * rest
    weights = np.exp(-0.5 * (steps / rest) ** 2)
    # cells so wide, read linearly in between, blur by half of their width besides
    glosses = [float(np.sqrt(gloss**2 - (REACH / GLOSSY) ** 2)) for gloss in GLOSS]
    return Tables(
        core=blurred(room, (narrow, narrow), REACH).astype(np.float32),
        gloss=np.stack([_fewer(blurred(room, (each, each), REACH), GLOSSY) for each in glosses]).astype(np.float32),
        matt=matt_of(light.studio).astype(np.float32),
        narrow=narrow,
        steps=steps.astype(np.float32),
        weights=(weights / weights.sum()).astype(np.float32),
    )


def _step(low: float, high: float, at: Array) -> Array:
    """Return a smooth step from 0 at ``low`` to 1 at ``high``."""
    t = np.clip((at - low) / (high - low), 0, 1)
    return np.asarray(t * t * (3 - 2 * t))


def radiance(right: Array, up: Array, towards: Array) -> Array:
    """Return the studio's light (before its scale) from unit directions: our own, arranged by eye.

    A tall window over the blade that hangs askew, with bars, so that its sides cross the blade slantwise and break
    where flat and bevel meet; beside it a wall, lighter upwards, with a farther window. Both end at a workbench that
    is darker all along, so that flat and bevel differ wherever the grind line runs and in any steel; low down the
    window shines in it once more, for the sharpened edge, and its near end is lit. Everywhere else, left and right, on
    the ceiling and down to the floor, long lamps with dark between them, so that however the blade is turned its faces
    have an edge of light to mirror. Behind the blade next to nothing.
    """
    azimuth = np.degrees(np.arctan2(right, np.maximum(towards, 1e-3)))
    height = np.degrees(np.arctan2(up, np.maximum(np.hypot(right, towards), 1e-3)))
    leaning = azimuth + ASKEW * height
    bars = sum(_bell(leaning, *bar) for bar in BARS)
    panes = _step(-42, -38, leaning) * (1 - _step(1, 4, leaning)) * (1 - 0.65 * bars)
    over_bench = _step(*HORIZON, height + SILL * azimuth)
    window = panes * over_bench * (1 - _step(40, 48, height)) * (1 + 0.2 * _bell(leaning, -3, 5))
    shine = _step(-42, -32, height) * (1 - _step(-27, -16, height)) * (1 - 0.5 * _step(-8, 16, azimuth))
    farther = _bell(leaning, 11, 1.6) * over_bench * (1 - _step(20, 30, height))
    wall = over_bench * _step(-2, 6, leaning) * (1 - _step(16, 30, azimuth))
    wall *= (1 + 1.2 * _step(8, 24, height)) * (1 - _step(44, 56, height))
    bench = _step(-70, -52, height) * (1 - _step(-46, -38, height)) * (0.4 + 0.6 * _bell(azimuth, -13, 16))
    at, apart, strong = LAMPS
    uneven = 6 * np.sin(np.radians(1.7 * leaning + 0.9 * height))
    lamps = _step(-0.6, 0.8, np.cos(2 * np.pi * (leaning - at + uneven) / apart)) * _step(-0.05, 0.15, towards)
    beside = _step(17, 23, leaning) + (1 - _step(-54, -46, leaning))
    over, under = _step(48, 54, height), 1 - _step(-46, -38, height)
    lamps *= np.clip(np.maximum(np.maximum(beside, over), 0.6 * under), 0, 1)
    room = 0.27 + 0.20 * _step(-55, 60, height) - 0.10 * _step(-30, 30, azimuth)
    lit = room + 1.45 * window + 0.6 * farther + 0.34 * wall + 0.65 * shine + 0.5 * bench + strong * lamps
    return np.asarray(0.06 + (lit - 0.06) * _step(-0.15, 0.05, towards))


def _bell(at: Array, middle: float, wide: float) -> Array:
    """Return a bell of height 1 round ``middle``."""
    return np.asarray(np.exp(-0.5 * ((at - middle) / wide) ** 2))


def middles(size: int, reach: float) -> Array:
    """Return the coordinates of a table's cells one way, ``(size,)``."""
    return np.asarray(((np.arange(size) + 0.5) / size * 2 - 1) * reach)


def plane(size: int, reach: float) -> tuple[Array, Array]:
    """Return the coordinates of a table's cells, each ``(size, size)``."""
    across, up = np.meshgrid(middles(size, reach), middles(size, reach))
    return across, up


def directions(right: Array, up: Array) -> Array:
    """Return the unit directions, ``(3, ...)``, of stereographic coordinates."""
    square = right * right + up * up
    return np.stack([2 * right, 2 * up, 1 - square]) / (1 + square)


def read(table: Array, right: Array, up: Array) -> Array:
    """Return what a table holds at stereographic coordinates, linearly in between; beyond its rim what is there."""
    size = len(table)
    column, row = (np.clip((each / REACH + 1) * (size / 2) - 0.5, 0, size - 1.001) for each in (right, up))
    left, low = column.astype(np.intp), row.astype(np.intp)
    a, b = column - left, row - low
    flat, at = table.ravel(), low * size + left
    lower = flat[at] * (1 - a) + flat[at + 1] * a
    upper = flat[at + size] * (1 - a) + flat[at + size + 1] * a
    return np.asarray(lower + (upper - lower) * b)


def blurred(table: Array, scatter: tuple[float, float], reach: float, at: tuple[float, ...] | None = None) -> Array:
    """Return a table ``(n, n)`` within ``+-reach`` as facets with Gaussian slopes show it, at the coordinates ``at``.

    ``scatter`` is the standard deviation along and across the picture; the coordinates, of rows and columns alike, are
    those of the table itself if none are given; where these lie far apart, by `apart_scatter` besides. Beyond
    the rim the table goes on as it ends.
    """
    single = table.dtype == np.float32
    along, across = (_kernel(len(table), at, each, reach, single) for each in scatter)
    return np.asarray(across @ table @ along.T)


def apart_scatter(at: tuple[float, ...]) -> Array:
    """Return by how much coordinates that lie `FAR_APART` or more are blurred: what is finer would show as grain."""
    return np.asarray(np.gradient(np.array(at)) ** 2 / FAR_APART)


@lru_cache(maxsize=32)
def _kernel(count: int, at: tuple[float, ...] | None, scatter: float, reach: float, single: bool) -> Array:
    """Return how much each of ``count`` cells counts at each coordinate, rows that add up to 1."""
    # beyond the rim the last cell stands for all that lie there
    beyond = int(np.ceil(4 * scatter * count / (2 * reach)))
    fine = ((np.arange(-beyond, count + beyond) + 0.5) / count * 2 - 1) * reach
    wanted = middles(count, reach) if at is None else np.array(at)
    # no keener than the cells that it is read from, or that it is read into: these would show
    also = 0 if at is None else apart_scatter(at)
    least = np.maximum(np.hypot(scatter, also), 0.6 * 2 * reach / count)
    weights = np.exp(-0.5 * ((wanted - fine[:, None]) / least) ** 2).T
    inside = weights[:, beyond : beyond + count].copy()
    inside[:, 0] += weights[:, :beyond].sum(axis=1)
    inside[:, -1] += weights[:, beyond + count :].sum(axis=1)
    inside /= inside.sum(axis=1, keepdims=True)
    return inside.astype(np.float32) if single else inside


def _fewer(table: Array, size: int) -> Array:
    part = SIZE // size
    return np.asarray(table.reshape(size, part, size, part).mean(axis=(1, 3)))


@lru_cache(maxsize=2)
def room_of(studio: str) -> Array:
    """Return the studio's own table ``(SIZE, SIZE)``: what comes from where, in the unit of a white card."""
    if studio == "even":
        return np.ones((SIZE, SIZE))
    return _raw_room() / _unit()


@lru_cache(maxsize=2)
def matt_of(studio: str) -> Array:
    """Return what a white matt surface sends back by the direction of its normal, ``(SMALL, SMALL)``."""
    return np.ones((SMALL, SMALL)) if studio == "even" else _raw_matt() / _unit()


def _raw_room() -> Array:
    return radiance(*directions(*plane(SIZE, REACH)))


def _unit() -> float:
    """Return what a white card square to the viewer sends back of the studio's light before its scale."""
    return float(read(_raw_matt(), np.zeros(1), np.zeros(1))[0])


@lru_cache(maxsize=1)
def _raw_matt() -> Array:
    """Return the mean of the studio's light over the half space round each normal, weighted by the cosine."""
    coarse = _fewer(_raw_room(), SMALL)  # so soft a thing needs few cells
    right, up = plane(SMALL, REACH)
    solid_angle = ((2 / (1 + right * right + up * up)) ** 2).ravel().astype(np.float32)
    normals = directions(right, up).reshape(3, -1).astype(np.float32)
    weighed = np.stack([coarse.ravel().astype(np.float32) * solid_angle, solid_angle], axis=1)
    # a few at once, so that they stay in the processor's cache
    parts = [np.maximum(few.T @ normals, 0) @ weighed for few in np.split(normals, SMALL // 2, axis=1)]
    lit, whole = np.concatenate(parts).T.astype(float)
    return np.asarray(lit / whole).reshape(SMALL, SMALL)
