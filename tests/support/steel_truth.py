"""How far a matched preview lies from what was true of a made-up photograph, across the pattern's lines."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter

from preview.seen.match import Match
from tests.support.steel_photo import Metal

LINE = 0.1
"""Change of tone a place of the grid over which a place lies on a line."""


def across_lines(found: Match, metal: Metal) -> tuple[float, float, float, float]:
    """Return rms before and after (mm), the share that the 80 % bands hold, and their mean standard deviation (mm)."""
    face = found.face
    ahead, aside = metal.moved(face.along, face.across)
    true = -np.stack([ahead, aside])
    tone = gaussian_filter(found.shown(true), 1)
    slope = np.stack(np.gradient(tone)[::-1]) * np.array([1, -1])[:, None, None]
    steep = np.hypot(*slope)
    line = (steep > LINE) & face.on_face
    normal = slope[:, line] / steep[line]
    before = (true[:, line] * normal).sum(axis=0)
    after = ((true - found.field)[:, line] * normal).sum(axis=0)
    some = np.arange(0, len(after), max(1, len(after) // 1500))
    at = found.ways.at(*(each[some] for each in np.nonzero(line)))[found.of_steel]
    over = np.einsum("wkp,kp->wp", at, normal[:, some])
    steel = found.fit.covariance[np.ix_(found.of_steel, found.of_steel)]
    error = np.sqrt((over * (steel @ over)).sum(axis=0))  # across a line it is better known than along it
    held = float((np.abs(after[some]) < 1.2816 * error).mean())
    rms = [float(np.sqrt(np.mean(each**2))) for each in (before, after)]
    return rms[0], rms[1], held, float(error.mean())
