"""Where a face's bright figures run off the blade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.results import Mm
from preview.face.face_map import FaceMap

LEAST = 1.0
"""Length of rim (mm) that a figure has to be cut along: one that but touches it loses nothing worth telling."""


@dataclass(frozen=True)
class RunsOff:
    """A figure that the blade's outline cuts.

    Parameters
    ----------
    over
        Where it goes: over the edge, the spine, or the heel.
    start, end
        Between which distances from the heel, mm; both 0 at the heel.
    rim
        How much of the outline cuts it, mm along the blade, or across it at the heel.
    """

    over: Literal["edge", "spine", "heel"]
    start: Mm
    end: Mm
    rim: Mm


def running_off(face: FaceMap, bright: tuple[str, ...]) -> tuple[RunsOff, ...]:
    """Return where bright figures run off a face, the one that is cut along most first."""
    from scipy import ndimage

    grid = face.grid
    held = (face.share_of(bright) > 0.5) & grid.mask
    if face.off_pattern is not None:
        held &= ~face.off_pattern
    labels, _ = ndimage.label(held)
    found: list[RunsOff] = []
    columns = np.arange(held.shape[1])
    on_blade = grid.mask.any(axis=0)
    top, low = grid.mask.argmax(axis=0), held.shape[0] - 1 - grid.mask[::-1].argmax(axis=0)
    along = grid.along[0]
    rims: tuple[tuple[Literal["edge", "spine"], Array], ...] = (("edge", low), ("spine", top))
    for over, rows in rims:
        there = np.where(on_blade, labels[rows, columns], 0)
        for figure in np.unique(there[there > 0]):
            cut = along[there == figure]
            found.append(RunsOff(over, float(cut[0]), float(cut[-1]), cut.size / grid.px_per_mm))
    first = labels[:, int(on_blade.argmax())]
    for figure in np.unique(first[first > 0]):
        found.append(RunsOff("heel", 0.0, 0.0, float((first == figure).sum()) / grid.px_per_mm))
    return tuple(sorted((each for each in found if each.rim >= LEAST), key=lambda each: -each.rim))
