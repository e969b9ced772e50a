"""The plunge as a grinder's wheel leaves it: a hollow of the wheel's radius from the grind line down to the edge.

For pictures only. The ground blade runs in evenly over the same length; this says how the light falls on what a round
rim cuts there: a curve that begins at the grind line, keen towards the heel and smooth towards the bevel.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.base.arrays import Float32
from preview.base.cache import Same, kept
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.face.view import View
from preview.look.rims import Leaning

LEAST = 1e-4
"""Slope from which it is told."""


def plunge_of(face: FaceMap, ground: Ground) -> Leaning:
    """Return by how much the wheel's hollow leans otherwise than the face that runs in evenly.

    It is reckoned once for faces that mirror each other.
    """
    return _plunge_of(Same(face.stand), replace(face.view, side=ground.alike(face.side)), ground)


@kept
def _plunge_of(face: Same[Float32], view: View, ground: Ground) -> Leaning:
    side, grid = view.side, view.grid
    fine = grid.px_per_mm
    begins, whole = ground.plunge or (0.0, 0.0)
    first, last = (
        int(np.clip(round(place * fine) + off, 0, grid.shape[1])) for place, off in ((begins, -2), (whole, 3))
    )
    if whole <= begins or last - first < 4 or not ground.grind.bevel(side).is_ground:
        return Leaning.none()
    columns = slice(first, last)
    along, stand = grid.along[:, columns], face.value[:, columns].astype(float)
    distance = grid.distance[:, columns].astype(float)
    lines = ground.bevel(side, along)
    whole_ground = replace(ground, grind=ground.grind.model_copy(update={"plunge": 0.0}))
    deep = whole_ground.stand(side, along, grid.across, distance)
    level = ground.stand(side, along, grid.across, np.maximum(distance, lines.height))
    radius = (whole - begins) ** 2 / max(2 * float((lines.face - lines.foot).max()), 1e-3)
    hollow = deep + np.maximum(whole - along, 0) ** 2 / (2 * radius)
    of_level, of_hollow, before = (np.array(np.gradient(each, 1 / fine)) for each in (level, hollow, stand))
    # each side of the grind line by itself: a difference across it would lean to a glint that is not there
    down, right = np.where(hollow < level, of_hollow, of_level) - before
    rows, aside = np.nonzero((np.hypot(down, right) > LEAST) & (grid.shown[:, columns] > 0))
    at = rows * grid.shape[1] + aside + first
    return Leaning(at, right[rows, aside].astype(np.float32), -down[rows, aside].astype(np.float32))
