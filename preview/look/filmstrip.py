"""The bar's section after each forging step, at one scale: the same slice of metal, followed through the work."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Array, Bytes
from preview.base.units import Units
from preview.face.origins import Origins
from preview.forging.bar import Bar
from preview.forging.history import History
from preview.look.etch import Etch
from preview.look.light import srgb
from preview.look.section import light_from
from preview.pattern.powders import Powder

Float = NDArray[np.float64]

PX_PER_MM = 7.0
PAPER, INK = 242, 40
WIDTH = 1200
"""Width of the strip, in pixels."""

SMALL_PX_PER_MM, SMALL_WIDTH = 2.6, 440
"""The same of the small strip: twice the pixels that a narrow column of the page has."""

NODE = 0.4
"""The smooth way back to the can is worked out on nodes so far apart (mm), and read linearly in between."""


def filmstrip(origins: Origins, powders: tuple[Powder, ...], etch: Etch, units: Units) -> Bytes:
    """Return the sections of the can and of the bar after each step as one picture, grey bytes ``(rows, columns)``.

    The slice is the one that ends up at mid-length of the blade, half way up. Sections stand as the bar lies
    under the hammer, +across to the right, +through up; their sizes are told in ``units``.
    """
    history = origins.history
    words = ("In the can", *(f"{n} · {step.words(units)}" for n, step in enumerate(history.steps, start=1)))
    sizes = (units.length(bar.width, bar.thickness, form=".1f") for bar in history.bars)
    return _strip(tuple(zip(words, sizes, strict=True)), _sections(origins, powders, etch, PX_PER_MM), WIDTH, 24)


def small_strip(origins: Origins, powders: tuple[Powder, ...], etch: Etch) -> Bytes:
    """Return the same sections small, with the number of the step over each."""
    titles = (("can",), *((str(number),) for number in range(1, len(origins.history.steps) + 1)))
    return _strip(titles, _sections(origins, powders, etch, SMALL_PX_PER_MM), SMALL_WIDTH, 22)


def _sections(origins: Origins, powders: tuple[Powder, ...], etch: Etch, px_per_mm: float) -> list[Bytes]:
    """Return a picture of the can's section, and of the bar's after each step."""
    history = origins.history
    frames = [section_points(bar, at, px_per_mm) for bar, at in zip(history.bars, _slices(origins), strict=True)]
    pictures: list[Bytes] = []
    for can in _to_can(history, frames):
        metal = (history.first if pictures else history.start).contains(*can)
        light = light_from(origins, powders, etch, *np.where(metal, can, 0.0))
        pictures.append(np.rint(np.where(metal, srgb(light) * 255, PAPER)).astype(np.uint8))
    return pictures


def _slices(origins: Origins) -> list[float]:
    """Return where along the bar (mm) the slice lies before the first step, and after each."""
    history, ground = origins.history, origins.ground
    outline = ground.blade.outline
    along, across, through = (np.array(size) for size in (outline.length / 2, outline.height / 2, 0.0))
    points = [np.stack(ground.blade.blade_to_bar(along, across, through, ground.bar))]
    for step, before in zip(reversed(history.steps), reversed(history.met), strict=True):
        points.append(step.pull_back(points[-1], before))
    return [float(point[0]) for point in reversed(points)]


def _to_can(history: History, frames: Sequence[Array]) -> list[Float]:
    """Carry each frame's points (rows, columns, 3; mm) to the can: ``(3, rows, columns)``.

    All frames go back together, so that each step is undone once.
    """
    shapes: list[tuple[int, int]] = []
    weights: list[tuple[Array, Array]] = []
    gone: Float = np.empty((3, 0))
    for number in reversed(range(len(frames))):
        points = frames[number]
        places = points[0, :, 1], -points[:, 0, 2]
        across, down = (
            np.linspace(each[0], each[-1], max(2, ceil((each[-1] - each[0]) / NODE) + 1)) for each in places
        )
        shapes.append((down.size, across.size))
        weights.append((_weights(places[0], across), _weights(places[1], down)))
        here = np.broadcast_arrays(points[0, 0, 0], across[None, :], -down[:, None])
        gone = np.concatenate([gone, np.stack(here).reshape(3, -1)], axis=1)
        if number:
            step, before = history.steps[number - 1], history.met[number - 1]
            x, y, z = gone
            gone = np.stack(np.broadcast_arrays(*step.back(x, y, z, before)))
    parts = np.split(gone, np.cumsum([rows * columns for rows, columns in shapes])[:-1], axis=1)
    return [
        downwards @ part.reshape(3, *shape) @ rightwards.T
        for part, shape, (rightwards, downwards) in zip(parts, shapes, weights, strict=True)
    ][::-1]


def _weights(places: Array, nodes: Array) -> Array:
    """Return how much each node counts at each place, ``(places, nodes)``, for reading linearly in between."""
    before = np.clip(np.searchsorted(nodes, places) - 1, 0, nodes.size - 2)
    share = (places - nodes[before]) / (nodes[before + 1] - nodes[before])
    weights = np.zeros((places.size, nodes.size))
    every = np.arange(places.size)
    weights[every, before], weights[every, before + 1] = 1 - share, share
    return weights


def section_points(bar: Bar, along: float, px_per_mm: float = PX_PER_MM) -> Array:
    """Return the points (rows, columns, 3), mm, of a picture of the bar's section at ``along``."""
    reach = 1.06  # a bulged bar is wider at mid-height than on the mean
    across = np.arange(-reach * bar.width / 2, reach * bar.width / 2, 1 / px_per_mm)[None, :]
    through = np.arange(bar.thickness / 2, -bar.thickness / 2, -1 / px_per_mm)[:, None]
    across, through = np.broadcast_arrays(across, through)
    return np.stack([np.full(across.shape, along), across, through], axis=-1)


def _strip(titles: Sequence[tuple[str, ...]], pictures: Sequence[Bytes], width: int, size: int) -> Bytes:
    """Lay pictures in rows, each row as high as its highest, each under its lines of text, ``size`` pixels high."""
    font = ImageFont.load_default(size=size)
    gap, line = size, round(1.25 * size)
    text = size // 4 + line * max(map(len, titles))
    places: list[tuple[int, int]] = []
    x = y = high = 0
    for lines, picture in zip(titles, pictures, strict=True):
        wide = max(picture.shape[1], *(round(font.getlength(each)) for each in lines)) + gap
        if x and x + wide > width:
            x, y, high = 0, y + high + gap, 0
        places.append((x, y))
        x += wide
        high = max(high, picture.shape[0] + text)
    sheet = Image.new("L", (width, y + high + gap), PAPER)
    draw = ImageDraw.Draw(sheet)
    for lines, picture, (left, top) in zip(titles, pictures, places, strict=True):
        for number, each in enumerate(lines):
            draw.text((left + gap // 2, top + 8 + number * line), each, fill=90 if number else INK, font=font)
        sheet.paste(Image.fromarray(picture), (left + gap // 2, top + text + 4))
    return np.asarray(sheet)
