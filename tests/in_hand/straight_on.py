"""A blade that lies straight on, as our own picture has it, for pictures that are drawn otherwise."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import map_coordinates

from preview.base.pictures import LINEAR
from preview.in_hand.stones import sharpened_stand
from preview.look.light import srgb
from preview.pipeline import preview

SEED = 4242
"""Of no other test: its scratches are taken off."""


def seen_through(job, shape, *, room, eye=480.0):
    """Return along and across (mm) of the right face's place at each pixel of a picture that it lies straight on.

    The blade fills it but for ``room`` mm all round; also returned is what it is wide, mm.
    """
    rows, columns = shape
    outline = job.blade.outline
    length, height = outline.length, outline.height
    span = max(length + 2 * room, (height + 2 * room) * columns / rows)
    x, y = np.meshgrid(
        ((np.arange(columns) + 0.5) / columns - 0.5) * span,
        (0.5 - (np.arange(rows) + 0.5) / rows) * span * rows / columns,
    )
    stand = np.zeros_like(x)
    for _ in range(2):
        along = np.clip(x * (eye - stand) / eye + length / 2, 0, length)
        across = y * (eye - stand) / eye + height / 2
        held = np.clip(across, outline.edge(along), outline.spine(along))
        stand = np.stack([sharpened_stand(job.ground, "right", a, b) for a, b in zip(along, held, strict=True)])
    return x * (eye - stand) / eye + length / 2, y * (eye - stand) / eye + height / 2, span


def shown_at(job, px_per_mm, along, across):
    """Return our own picture of the right face at places of the blade, sRGB (0 to 255) mixed in linear light.

    It is the mean of several. A still's table is read at its cells, with a noise to hide them that is new each time
    here (some 1.3 grey levels); what it is compared with reads its tables linearly in between, and has no such noise.
    """
    several = [preview(job, px_per_mm=px_per_mm) for _ in range(5)]
    light = np.mean([LINEAR[each.pictures[0]] for each in several], axis=0)
    places = np.stack([along.ravel(), across.ravel()], axis=1)
    columns, rows = np.moveaxis(several[0].view("right").pixels(places), 1, 0) - 0.5
    ours = [map_coordinates(light[..., k], [rows, columns], order=1).reshape(along.shape) for k in range(3)]
    return 255 * srgb(np.stack(ours, axis=-1))


def wave(make, **light):
    """Return a job whose bright lines wave along a blade ground flat to half its height."""
    rows, columns = np.mgrid[0:200, 0:600]
    picture = np.abs(rows - 100 - 45 * np.sin(columns / 45)) < 16
    return make(
        picture, seed=SEED, light=light, forging=[{"step": "consolidate"}],
        can={"length": 160, "width": 60, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 4.2, "outline": {"shape": "drop point", "length": 130, "height": 30, "ricasso": 14}},
        grind={"right": {"kind": "flat", "height": 18}, "edge": 0.3},
    )  # fmt: skip
