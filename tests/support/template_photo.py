"""Photographs of cut-out templates beside a ruler, made up with all that is known about them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter, map_coordinates
from skimage.draw import polygon

FINER = 16
"""Pixels in a millimetre of what is drawn before it is photographed."""


@dataclass(frozen=True)
class Table:
    """What lies on the table, and how it is photographed.

    Parameters
    ----------
    room
        Width and height (mm) of what is seen, or of the sheet where there is a table round it.
    table
        What the table round the sheet reflects; None where the ground fills the photograph.
    ground, template
        What they reflect.
    tilt
        Degrees by which the camera leans.
    askew
        Degrees by which the template lies off level.
    falloff
        The least light as a share of the most.
    noise, blur
        Of the camera: standard deviations, 8-bit steps and pixels.
    ruler
        Where a ruler's lower left end lies (mm), 200 mm long and 25 mm wide; None for none.
    size
        Columns and rows of the photograph.
    """

    room: tuple[float, float] = (297.0, 210.0)
    table: float | None = None
    ground: float = 0.8
    template: float = 0.06
    tilt: float = 0.0
    askew: float = 3.0
    falloff: float = 1 / 3
    noise: float = 3.0
    blur: float = 1.0
    ruler: tuple[float, float] | None = (40.0, 25.0)
    size: tuple[int, int] = (3600, 2700)
    seed: int = 0

    def camera(self) -> np.ndarray:
        """Return the matrix that carries millimetres of the room (rightwards and downwards) to pixels: a pinhole."""
        rng = np.random.default_rng(self.seed)
        columns, rows = self.size
        share = 1.0 if self.table is None else 0.86
        away = rng.uniform(0, 2 * np.pi)
        lean, nod = np.radians(self.tilt) * np.array([np.cos(away), np.sin(away)])
        turn = np.array([[1, 0, 0], [0, np.cos(nod), -np.sin(nod)], [0, np.sin(nod), np.cos(nod)]])
        turn = turn @ [[np.cos(lean), 0, np.sin(lean)], [0, 1, 0], [-np.sin(lean), 0, np.cos(lean)]]
        focus = 1.0 * columns
        far = focus / (share * min(columns / self.room[0], rows / self.room[1]))
        lens = np.array([[focus, 0, columns / 2], [0, focus, rows / 2], [0, 0, 1]])
        middle = np.array([[1, 0, -self.room[0] / 2], [0, 1, -self.room[1] / 2], [0, 0, 1]])
        return lens @ np.c_[turn[:, 0], turn[:, 1], [0, 0, far]] @ middle

    def seen(self, places: np.ndarray) -> np.ndarray:
        """Return where places (n, 2) of the room, mm rightwards and downwards, are in shares of the photograph."""
        x, y, w = self.camera() @ np.c_[places, np.ones(len(places))].T
        return np.stack([x / w, y / w], axis=1) / self.size


def laid(profile: np.ndarray, table: Table) -> np.ndarray:
    """Return a profile (n, 2), y up, as it lies on the table: mm rightwards and downwards, in the upper part."""
    angle = np.radians(table.askew)
    turned = profile @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    low, high = turned.min(axis=0), turned.max(axis=0)
    middle = np.array([table.room[0] / 2, table.room[1] * 0.42])
    return (turned - (low + high) / 2) * (1, -1) + middle


def photograph(profiles, table: Table, *, ticks: float = 1.0) -> np.ndarray:
    """Return the photograph of templates (each (n, 2), mm of the room, as `laid` gives them), grey bytes."""
    rng = np.random.default_rng(table.seed + 1)
    wide, high = (round(side * FINER) for side in table.room)
    flat = Image.new("F", (wide, high), table.ground)
    draw = ImageDraw.Draw(flat)
    if table.ruler is not None:
        left, low = table.ruler
        top = table.room[1] - low - 25
        draw.rectangle([left * FINER, top * FINER, (left + 200) * FINER, (top + 25) * FINER], fill=0.45)
        for number in range(round(190 / ticks) + 1):
            long = 9 if number % 10 == 0 else 7 if number % 5 == 0 else 5
            x = left + 5 + number * ticks
            draw.rectangle([(x - 0.1) * FINER, top * FINER, (x + 0.1) * FINER, (top + long) * FINER], fill=0.05)
    drawn = np.array(flat)
    for profile in profiles:
        drawn[polygon(*(profile[:, ::-1] * FINER - 0.5).T, drawn.shape)] = table.template
    columns, rows = table.size
    y, x = np.indices((rows, columns), dtype=np.float32) + 0.5
    u, v, w = np.linalg.inv(table.camera()) @ np.stack([x.ravel(), y.ravel(), np.ones(x.size)])
    across, down = (u / w).reshape(x.shape), (v / w).reshape(x.shape)
    drawn = gaussian_filter(drawn, 0.4)
    light = map_coordinates(drawn, [down * FINER - 0.5, across * FINER - 0.5], order=1, mode="nearest")
    if table.table is not None:
        on = (across >= 0) & (across < table.room[0]) & (down >= 0) & (down < table.room[1])
        light = np.where(on, light, table.table)
    way = rng.uniform(0, 2 * np.pi)
    along = (x / columns - 0.5) * np.cos(way) + (y / rows - 0.5) * np.sin(way)
    light = light * (1 - (1 - table.falloff) * (along - along.min()) / np.ptp(along))
    soft = gaussian_filter(light, table.blur)
    # IEC 61966-2-1
    coded = np.where(soft <= 0.0031308, 12.92 * soft, 1.055 * np.maximum(soft, 1e-9) ** (1 / 2.4) - 0.055)
    return np.uint8(np.clip(np.rint(coded * 255 + rng.normal(0, table.noise, coded.shape)), 0, 255))
