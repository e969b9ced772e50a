"""The picture of an etched face, as a camera straight above it would take it on a neutral ground."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from preview.composition import FaceMap
from preview.etch import Etch, luminance
from preview.grind import Side
from preview.light import Light, shade, to_rgbx
from preview.nickel import mottle_levels
from preview.pattern import VOID
from preview.powders import Powder
from preview.surface import FaceGrid
from preview.tiles import in_row_blocks

Array = NDArray[np.floating[Any]]
Float32 = NDArray[np.float32]

GROUND = 0.62
"""Linear reflectance of the neutral ground in the middle of the picture."""

VOID_LUMINANCE = 0.004
GRAIN = 0.035
"""Relative scatter of the finish's fine lines (chosen by eye)."""


def etched(
    face: FaceMap, powders: tuple[Powder, ...], classes: tuple[str, ...], etch: Etch, part: slice = slice(None)
) -> tuple[Float32, Float32, Float32]:
    """Return reflectance (linear luminance), depth etched (mm) and brightness share of rows ``part`` of a face.

    A pixel that holds several powders shows each one's tone in its share.
    """
    rows = face.stand[part].shape
    totals = [np.zeros(rows, dtype=np.float32) for _ in range(3)]
    rest: Float32 = np.ones(rows, dtype=np.float32)
    for share in face.shares:
        rest = rest - share[part]
    every_share = (rest, *(share[part] for share in face.shares))
    for name, share in zip(classes, every_share, strict=True):
        powder = next((each for each in powders if each.name == name), None)
        for total, value in zip(totals, _responses(face, powder, etch, part), strict=True):
            total += share * value
    if face.shell is not None:
        shell = face.shell[part]
        values = (luminance(etch.shell_lightness), etch.depth(0.0), 0.0)
        for total, shell_value in zip(totals, values, strict=True):
            total[shell] = shell_value
    if face.lost is not None:
        for total, lost_value in zip(totals, (VOID_LUMINANCE, 0.0, 0.0), strict=True):
            total[face.lost[part]] = lost_value
    return totals[0], totals[1], totals[2]


def _responses(face: FaceMap, powder: Powder | None, etch: Etch, part: slice) -> list[Float32 | np.float32]:
    """Return tone, depth and brightness of one powder's pixels: numbers, or arrays where it is mottled."""
    if powder is None:
        return [np.float32(VOID_LUMINANCE), np.float32(0), np.float32(0)]
    mottled = powder.mottle and face.mottle is not None
    scatter = mottle_levels() * (powder.mottle * face.mottle_seen) if mottled else np.zeros(1)
    nickel = powder.nickel * np.maximum(1 + scatter, 0)
    tables = (luminance(etch.lightness(nickel)), etch.depth(nickel), etch.resistance(nickel))
    if not mottled or face.mottle is None:
        return [np.float32(table[0]) for table in tables]
    return [np.take(table.astype(np.float32), face.mottle[part]) for table in tables]


@lru_cache(maxsize=4)
def _grain(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    """Return the finish's fine lines along the blade, about 1 on the mean: lines some 4 mm long, a pixel wide."""
    rng = np.random.default_rng(seed)
    rows, columns = shape
    length = max(2.0, 4 * px_per_mm)
    coarse = rng.standard_normal((rows, int(columns / length * 3) + 4)).astype(np.float32)
    lines = np.asarray(Image.fromarray(coarse).resize((columns, rows), Image.Resampling.BICUBIC))
    fine = rng.standard_normal((rows, columns), dtype=np.float32)
    return np.asarray(1 + GRAIN * (0.8 * lines + 0.4 * fine), dtype=np.float32)


@lru_cache(maxsize=4)
def _studio(grid: FaceGrid, side: Side, scale_bar: bool) -> Float32:
    """Return the ground the blade lies on, as the viewer sees it: linear light with a soft shadow and a scale bar."""
    rows, columns = grid.shape
    coverage = grid.coverage if side == "right" else grid.coverage[:, ::-1]
    small = min(1.0, 500 / columns)
    size = (max(2, round(columns * small)), max(2, round(rows * small)))
    seen = Image.fromarray(np.uint8(coverage * 255)).resize(size, Image.Resampling.BOX)
    reach = 3.0 * grid.px_per_mm * small
    shadow = Image.new("L", size)
    shadow.paste(seen, (round(-0.5 * reach), round(0.7 * reach)))
    blurred = shadow.filter(ImageFilter.GaussianBlur(reach)).resize((columns, rows), Image.Resampling.BILINEAR)
    u = np.linspace(-1, 1, columns, dtype=np.float32)[None, :]
    v = np.linspace(-1, 1, rows, dtype=np.float32)[:, None]
    light = np.float32(GROUND) * (1 - np.float32(0.16) * (u * u + v * v) / 2 - np.float32(0.05) * v)
    light = light * (1 - np.float32(0.5 / 255) * np.asarray(blurred, dtype=np.float32))
    if scale_bar:
        _draw_scale(light, grid)
    return np.asarray(light, dtype=np.float32)


def _draw_scale(light: Float32, grid: FaceGrid) -> None:
    """Draw a bar of 50 mm (or 10 mm on a short blade) into the lower left corner."""
    rows, columns = grid.shape
    px = grid.px_per_mm
    length = 50 if columns > 110 * px else 10
    margin_mm = -float(grid.along[0, 0])
    if margin_mm < 4:
        return
    text = max(9, round(2.6 * px))
    mark = Image.new("L", (columns, rows))
    draw = ImageDraw.Draw(mark)
    left, bottom = round(margin_mm * px * 0.6), rows - round(1.6 * px)
    thick = max(1, round(0.25 * px))
    draw.rectangle((left, bottom - thick, left + round(length * px), bottom), fill=255)
    for tick in range(0, length + 1, 10):
        x = left + round(tick * px)
        draw.rectangle((x, bottom - round(1.2 * px), x + thick - 1, bottom), fill=255)
    font = ImageFont.load_default(size=text)
    draw.text((left + round((length + 1.5) * px), bottom), f"{length} mm", fill=255, font=font, anchor="ls")
    strength = np.asarray(mark, dtype=np.float32) / 255
    light *= 1 - 0.85 * strength


def photograph(
    face: FaceMap,
    powders: tuple[Powder, ...],
    classes: tuple[str, ...],
    etch: Etch,
    light: Light,
    seed: int,
    *,
    scale_bar: bool,
) -> NDArray[np.uint32]:
    """Return one face as packed sRGB pixels (see `preview.light.to_rgbx`), as the viewer sees it.

    The right face shows its tip to the right, the left face to the left; the edge is down on both.
    """
    grid = face.grid
    rows, columns = grid.shape
    mirrored = face.side == "left"
    ground = _studio(grid, face.side, scale_bar)
    grain = _grain(grid.shape, grid.px_per_mm, seed)
    picture = np.empty((rows, columns), dtype=np.uint32)
    half = np.float32(grid.px_per_mm / 2)
    rightwards = np.float32(-half if mirrored else half)

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        inner = slice(part.start - wide.start, part.start - wide.start + part.stop - part.start)
        tone, depth, bright = etched(face, powders, classes, etch, wide)
        height = face.stand[wide] - depth
        slope_x = np.zeros((part.stop - part.start, columns), dtype=np.float32)
        here = height[inner]
        np.subtract(here[:, 2:], here[:, :-2], out=slope_x[:, 1:-1])
        slope_x *= rightwards
        padded = np.pad(height, ((int(part.start == 0), int(part.stop == rows)), (0, 0)), mode="edge")
        slope_y = (padded[:-2] - padded[2:]) * half
        steel = shade(slope_x, slope_y, tone[inner], bright[inner], light)
        steel *= grain[part]
        back = ground[part, ::-1] if mirrored else ground[part]
        covered = grid.coverage[part]
        steel -= back
        steel *= covered
        steel += back
        pixels = to_rgbx(steel)
        picture[part] = pixels[:, ::-1] if mirrored else pixels

    in_row_blocks(work, rows, columns)
    return picture


def class_names(powders: tuple[Powder, ...], count: int) -> tuple[str, ...]:
    """Return the names of ``count`` classes: the powders', then void."""
    return (*(powder.name for powder in powders), VOID)[:count]
