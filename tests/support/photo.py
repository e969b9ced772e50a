"""Photographs of drawings as a telephone takes them, made up with all that is known about them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter, map_coordinates

SHEET = (2000, 1414)
"""Columns and rows of the sheet: A4 on its side (ISO 216)."""


def drawing(seed: int, finer: int = 2) -> np.ndarray:
    """Return what is drawn on the sheet, True dark: a ring, leaves, a filled shape with a hole, strokes; invented."""
    rng = np.random.default_rng(seed)
    columns, rows = SHEET[0] * finer, SHEET[1] * finer
    sheet = Image.new("L", (columns, rows))
    draw = ImageDraw.Draw(sheet)
    unit = columns / 100

    def ring(x, y, r, wide):
        draw.ellipse(
            [(x - r) * unit, (y - r) * unit, (x + r) * unit, (y + r) * unit], outline=1, width=round(wide * unit)
        )

    x, y, r = rng.uniform(18, 32), rng.uniform(18, 30), rng.uniform(8, 12)
    ring(x, y, r, 2.0)
    draw.rectangle([(x - 3) * unit, (y - 3) * unit, (x + 3) * unit, (y + 3) * unit], fill=1)
    x, y, r = rng.uniform(64, 80), rng.uniform(18, 28), rng.uniform(9, 13)
    spokes = [
        (x + r * (0.75 + 0.25 * np.cos(5 * a)) * np.cos(a), y + r * (0.75 + 0.25 * np.cos(5 * a)) * np.sin(a))
        for a in np.linspace(0, 2 * np.pi, 300)
    ]
    draw.polygon([(a * unit, b * unit) for a, b in spokes], fill=1)
    draw.ellipse([(x - 3) * unit, (y - 3) * unit, (x + 3) * unit, (y + 3) * unit], fill=0)
    waves = np.linspace(8, 92, 400)
    for k in range(int(rng.integers(2, 4))):
        high = 46 + 7 * k + 2 * np.sin(waves / rng.uniform(4, 9) + rng.uniform(0, 6))
        for a, b in zip(waves, high, strict=True):
            s = 0.5 + 0.25 * k
            draw.ellipse([(a - s) * unit, (b - s) * unit, (a + s) * unit, (b + s) * unit], fill=1)
    return np.asarray(sheet).reshape(SHEET[1], finer, SHEET[0], finer).mean(axis=(1, 3))


@dataclass(frozen=True)
class Scene:
    """How a sheet was photographed.

    Parameters
    ----------
    seed
        Starts all that is drawn at random.
    paper
        ``plain``, ``ruled`` or ``checked``.
    ink
        What the drawing reflects, of linear light.
    tilt
        Degrees by which the camera looks askew.
    falloff
        The least light as a share of the most.
    table
        What the table reflects; None where the sheet fills the photograph.
    shadow, soft
        What of the light reaches a part of the sheet that something shades, from beyond its rim, and over how many mm
        of A4 the shadow's edge goes.
    """

    seed: int
    paper: str = "plain"
    ink: float = 0.05
    tilt: float = 20.0
    falloff: float = 1 / 3
    table: float | None = 0.18
    shadow: float = 1.0
    soft: float = 0.0
    noise: float = 3.0
    blur: float = 1.2
    size: tuple[int, int] = (1600, 1200)

    @property
    def corners(self) -> np.ndarray:
        """Corners of the sheet (4, 2), in shares of the photograph, from the upper left one clockwise."""
        if self.table is None:
            return np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)
        a = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=float) * [1, SHEET[1] / SHEET[0]]
        seen = self._camera() @ np.c_[a, np.ones(4)].T
        return (seen[:2] / seen[2]).T / self.size

    def _camera(self) -> np.ndarray:
        """Return the matrix that carries the sheet's plane (half its width is 1) to pixels: a pinhole."""
        rng = np.random.default_rng(self.seed + 1000)
        away = rng.uniform(0, 2 * np.pi)
        lean, nod = np.radians(self.tilt) * np.array([np.cos(away), np.sin(away)])
        turn = np.radians(rng.uniform(-8, 8))

        def spin(one, other, angle):
            matrix = np.eye(3)
            matrix[[one, one, other, other], [one, other, one, other]] = (
                np.cos(angle),
                -np.sin(angle),
                np.sin(angle),
                np.cos(angle),
            )
            return matrix

        pose = spin(1, 2, nod) @ spin(0, 2, lean) @ spin(0, 1, turn)
        focus = rng.uniform(0.72, 1.1) * self.size[0]
        lens = np.array([[focus, 0, self.size[0] / 2], [0, focus, self.size[1] / 2], [0, 0, 1]])
        far = focus * 3.0 / self.size[0]
        shift = np.array([rng.uniform(-0.05, 0.05), rng.uniform(-0.05, 0.05), far])
        return lens @ np.c_[pose[:, 0], pose[:, 1], shift]


def paper(kind: str) -> np.ndarray:
    """Return what bare paper reflects; rules lie 8 mm apart, checks 5 mm, 0.35 mm wide and pale."""
    sheet = np.full((SHEET[1], SHEET[0]), 0.85)
    per_mm = SHEET[0] / 297
    row, column = np.indices(sheet.shape) / per_mm + 2  # no line lies on the sheet's rim
    if kind == "ruled":
        sheet[(row % 8) < 0.35] = 0.5
    if kind == "checked":
        sheet[((row % 5) < 0.35) | ((column % 5) < 0.35)] = 0.5
    return sheet


def _shade(scene: Scene, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return what of the light reaches each place (in widths of the photograph) beside a straight shadow's edge."""
    way = np.random.default_rng(scene.seed + 2000).uniform(0, 2 * np.pi)
    beyond = (x - x.mean()) * np.cos(way) + (y - y.mean()) * np.sin(way) - 0.1
    share = np.clip(beyond / max(scene.soft / 297, 1e-9) + 0.5, 0, 1)
    return 1 - (1 - scene.shadow) * share


def photograph(scene: Scene, drawn: np.ndarray) -> np.ndarray:
    """Return the photograph, RGB bytes."""
    rng = np.random.default_rng(scene.seed)
    columns, rows = scene.size
    sheet = paper(scene.paper)
    sheet = sheet * (1 - drawn) + scene.ink * drawn
    y, x = np.indices((rows, columns)) + 0.5
    if scene.table is None:
        place = np.stack([y / rows * SHEET[1], x / columns * SHEET[0]]) - 0.5
        seen = map_coordinates(gaussian_filter(sheet, 0.6), place, order=1, mode="nearest")
    else:
        u, v, w = np.linalg.inv(scene._camera()) @ np.stack([x.ravel(), y.ravel(), np.ones(x.size)])
        across = ((u / w + 1) / 2 * SHEET[0]).reshape(x.shape)
        down = ((v / w + SHEET[1] / SHEET[0]) / 2 * SHEET[0]).reshape(x.shape)
        seen = map_coordinates(gaussian_filter(sheet, 0.6), [down - 0.5, across - 0.5], order=1, mode="nearest")
        grain = gaussian_filter(rng.standard_normal((rows, columns)), (2, 60)) * 6
        table = scene.table * (1 + np.clip(grain, -0.5, 0.5))
        on = (across >= 0) & (across < SHEET[0]) & (down >= 0) & (down < SHEET[1])
        seen = np.where(on, seen, table)
    way = rng.uniform(0, 2 * np.pi)
    along = (x / columns - 0.5) * np.cos(way) + (y / rows - 0.5) * np.sin(way)
    share = (along - along.min()) / np.ptp(along)
    light = seen * (1 - (1 - scene.falloff) * share) * _shade(scene, x / columns, y / columns)
    soft = gaussian_filter(light, scene.blur)
    coded = np.where(
        soft <= 0.0031308, 12.92 * soft, 1.055 * np.maximum(soft, 1e-9) ** (1 / 2.4) - 0.055
    )  # IEC 61966-2-1
    grey = coded * 255
    tinted = grey[..., None] * [1.0, 0.98, 0.94] + rng.normal(0, scene.noise, (rows, columns, 3))
    return np.uint8(np.clip(np.rint(tinted), 0, 255))
