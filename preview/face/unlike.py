"""How unlike two blades' faces look: where one shows bright steel and the other dark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.results import Mm, ShareOf
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap

NEARLY_ALL = 95.0
"""Per cent of what differs within which it is told where it lies."""


@dataclass(frozen=True)
class Unlike:
    """Two right faces laid over each other, heel on heel and edge on edge.

    Parameters
    ----------
    share
        Of the steel that both have, how much is bright on one and dark on the other.
    off_line
        How far nearly all of that lies from where either grind ends, mm; 0 where nothing differs.
    along
        Between which distances from the heel nearly all of it lies, mm.
    """

    share: ShareOf
    off_line: Mm
    along: tuple[Mm, Mm]


def unlike(
    faces: tuple[FaceMap, FaceMap], grounds: tuple[Ground, Ground], bright: tuple[tuple[str, ...], tuple[str, ...]]
) -> Unlike:
    """Return how unlike two ``faces`` of as many pixels in a millimetre are; ``bright`` names powders of each."""
    shapes = np.array([face.grid.shape for face in faces])
    rows, columns = shapes.min(axis=0)
    both, shown = [], []
    for face, names in zip(faces, bright, strict=True):
        held = face.share_of(names) > 0.5
        if face.off_pattern is not None:
            held &= ~face.off_pattern
        both.append(face.grid.mask[-rows:, :columns])
        shown.append(held[-rows:, :columns])
    steel = both[0] & both[1]
    differs = steel & (shown[0] != shown[1])
    if not differs.any():
        return Unlike(0.0, 0.0, (0.0, 0.0))
    grid = faces[0].grid
    along = grid.along[0, :columns]
    lines = [ground.bevel("right", along).height for ground in grounds]
    distance = grid.distance[-rows:, :columns]
    off = np.minimum(*(np.abs(distance - line) for line in lines))[differs]
    rest = (100 - NEARLY_ALL) / 2
    ends = np.percentile(np.broadcast_to(along, differs.shape)[differs], [rest, 100 - rest])
    return Unlike(
        float(differs.sum() / max(int(steel.sum()), 1)),
        float(np.percentile(off, NEARLY_ALL)),
        (float(ends[0]), float(ends[1])),
    )
