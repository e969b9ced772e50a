"""How deep the steel is short of carbon under the faces of the ground blade."""

from __future__ import annotations

import numpy as np

from preview.base.cache import kept
from preview.blade.grind import SIDES, Side
from preview.filling.mesh import bar_points, can_points
from preview.forging.carbon import CarbonSkin, carbon_skin
from preview.job.job import Job

SPOTS = (41, 13)
"""Spots of a face that are asked, along and edge to spine."""

STEP, DEEPEST = 0.1, 5.0
"""How much deeper (mm) it is looked each time, and how deep at the most."""


@kept
def poor_faces(job: Job) -> float:
    """Return how deep (mm), at the most, the steel under the ground faces is short of carbon; 0 where it is sound.

    Steel that the can drank from is told by where it lay in the can, what the fire took by its depth under the
    bar's face.
    """
    skin = carbon_skin(job.history)
    if not skin.left:
        return 0.0
    return max(0.0, *(_deepest(job, skin, side) for side in SIDES))


def _deepest(job: Job, skin: CarbonSkin, side: Side) -> float:
    if skin.by_fire:
        bar = job.history.bar
        along, across, through = bar_points(job, side, SPOTS)
        return float((skin.left - (bar.thickness_at(along, across) / 2 - np.abs(through))).max())
    deep, over, outwards = 0.0, 0.0, 0.0
    while True:
        *here, metal = can_points(job, side, SPOTS, deep)
        outwards = outwards or float(np.sign(here[skin.axis][metal].sum()))
        beyond = float(np.where(metal, outwards * here[skin.axis] - skin.reach, -np.inf).max())
        if beyond <= 0 or deep > DEEPEST:
            return max(deep + STEP * beyond / (over - beyond), 0.0) if over > 0 else 0.0
        deep, over = deep + STEP, beyond
