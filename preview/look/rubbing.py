"""What rubbing leaves on steel: scratches of several strokes, denser here than there, and some astray."""

from __future__ import annotations

from math import ceil

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Float32
from preview.base.cache import kept
from preview.face.view import View

STROKES = (
    (3.0, 0.0, 0.9, 0.6),
    (8.0, 0.0, -1.6, 0.6),
    (18.0, 0.0, 0.3, 0.35),
    (5.0, 0.0, 3.4, 0.4),
    (11.0, 0.18, -0.8, 0.3),
)
"""Scratches of a stroke of the hand: length and width, mm, at least a pixel, how far they lie off the stroke, degrees,
and how much they count (chosen by eye). The last are bundles of them, which a picture keeps that is shown small."""

PATCHES, PATCHY = (16.0, 5.0), 0.35
"""Length and width, mm, of patches rubbed more or less than others, and by which share (chosen by eye)."""

ASTRAY, ASTRAY_LONG, ASTRAY_DEEP = 0.011, (3.0, 22.0), 3.2
"""Scratches astray to a square millimetre, their lengths, mm, and how deep they are beside the others (by eye)."""

FINE = 20.0
"""Pixels in a millimetre at which a scratch astray fills a pixel's width; a larger pixel shows it paler."""

FADES, LEFT = (2.5, 4.0), 0.35
"""How near the spine and the plunge, mm, rubbing begins to be less, and what is left of it there (chosen by eye)."""


@kept
def rubbed(view: View, plunge: tuple[float, float], seed: int, *, lengthwise: bool) -> Float32:
    """Return `scratches` of a face, less of them where the hand turns: at the spine and round the plunge.

    ``plunge`` is where (mm from the heel) the edge begins to be ground, and where it is ground to the full.
    """
    grid = view.grid
    along = np.clip(grid.along[0], 0, view.outline.length)
    _, spine = view.outline.rims(along)
    far = np.clip((spine - grid.across) / FADES[0], 0, 1)
    if plunge[1] > plunge[0]:
        far = far * np.clip(np.abs(along - (plunge[0] + plunge[1]) / 2) / FADES[1], 0, 1)
    fade = LEFT + (1 - LEFT) * far.astype(np.float32)
    return scratches(grid.shape, grid.px_per_mm, seed, lengthwise=lengthwise) * fade


@kept
def scratches(shape: tuple[int, int], px_per_mm: float, seed: int, *, lengthwise: bool) -> Float32:
    """Return slopes of scratches square to the stroke, ``(rows, columns)``, along the blade or across it.

    Of standard deviation 1 but for those astray.
    """
    rows, columns = shape if lengthwise else shape[::-1]
    rng = np.random.default_rng([seed, 1])
    total = np.zeros((rows, columns), dtype=np.float32)
    for length, width, off, share in STROKES:
        total += np.float32(share) * _lines(rng, (rows, columns), px_per_mm, (length, width, off))
    total /= total.std()
    long, wide = (max(1, ceil(side / (size * px_per_mm))) for side, size in zip((columns, rows), PATCHES, strict=True))
    patches = Image.fromarray(rng.standard_normal((wide + 3, long + 3), dtype=np.float32))
    more = np.asarray(patches.resize((columns, rows), Image.Resampling.BICUBIC))
    total *= np.maximum(1 + np.float32(PATCHY) * more, 0.2)
    total += _astray(rng, (rows, columns), px_per_mm)
    return np.ascontiguousarray(total if lengthwise else total.T)


def _lines(
    rng: np.random.Generator, shape: tuple[int, int], px_per_mm: float, stroke: tuple[float, float, float]
) -> Float32:
    """Return the lines of a stroke (see `STROKES`), of standard deviation 1."""
    rows, columns = shape
    length, width, off = stroke
    rise = float(np.tan(np.radians(off)))
    tall = rows + ceil(abs(rise) * columns) + 1
    knots = max(2.0, length * px_per_mm / 2)
    wide, count = columns + int(4 * knots), ceil(tall / max(1.0, width * px_per_mm))
    coarse = rng.standard_normal((count, int(wide / knots) + 2)).astype(np.float32)
    lines = np.asarray(Image.fromarray(coarse).resize((wide, count), Image.Resampling.BICUBIC))
    # each begins elsewhere, or all scratches would end above each other
    begins = rng.integers(0, wide - columns, count)[:, None]
    lines = np.take_along_axis(lines, begins + np.arange(columns)[None, :], axis=1)
    whole = Image.fromarray(lines)
    if count < tall:
        whole = whole.resize((columns, tall), Image.Resampling.BICUBIC)
    leaning = (1, 0, 0, rise, 1, max(0.0, -rise * columns))
    lain = whole.transform((columns, rows), Image.Transform.AFFINE, leaning, Image.Resampling.BILINEAR)
    made = np.asarray(lain)
    return np.asarray(made / max(float(made.std()), 1e-6), dtype=np.float32)


def _astray(rng: np.random.Generator, shape: tuple[int, int], px_per_mm: float) -> Float32:
    """Return the slopes of scratches that go their own way: one bank lit, the other not."""
    rows, columns = shape
    count = int(rng.poisson(ASTRAY * rows * columns / px_per_mm**2))
    middles = rng.random((count, 2)) * (columns, rows)
    lengths = px_per_mm * rng.uniform(*ASTRAY_LONG, count)
    angles = np.radians(rng.normal(0, 14, count))
    depths = rng.uniform(0.35, 1, count) * rng.choice((-1, 1), count)
    steps = 2 if px_per_mm < FINE else 1  # drawn finer where a pixel is wide, or it would show in them
    banks = []
    for down in (0, steps):
        bank = Image.new("F", (columns * steps, rows * steps))
        draw = ImageDraw.Draw(bank)
        for (x, y), length, angle, depth in zip(middles, lengths, angles, depths, strict=True):
            aside, up = 0.5 * length * np.cos(angle), 0.5 * length * np.sin(angle)
            ends = np.array((x - aside, y - up, x + aside, y + up)) * steps + (0, down, 0, down)
            draw.line(ends.tolist(), fill=float(depth), width=steps)
        banks.append(np.asarray(bank.reduce(steps)))
    deep = np.float32(ASTRAY_DEEP * min(1.0, px_per_mm / FINE))
    return np.asarray(deep * (banks[0] - banks[1]), dtype=np.float32)
