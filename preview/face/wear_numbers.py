"""What years of sharpening leave of a blade and its pattern, in numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.results import Mm, ShareOf
from preview.blade.grind import SIDES, Side
from preview.blade.ground import Ground
from preview.blade.sharpening import strip_of
from preview.face.face_map import FaceMap

LEAST_SHAPE = 0.5
"""Area (mm²) of the smallest bright shape that counts as one (our own choice)."""

SPINE_PLACES = 4001
"""Places along the spine among which the new tip is looked for: a twentieth of a millimetre apart on a long blade."""

NEARLY_ALL = 0.95
"""Share of a shape that is gone with it."""


@dataclass(frozen=True)
class MotifLeft:
    """What of one face's bright pattern an edge sharpened back has taken.

    Parameters
    ----------
    gone
        Share of its area that is ground away.
    shapes, cut, lost
        How many bright shapes the new blade shows; how many are cut into; how many are gone, all but a rest.
    """

    gone: ShareOf
    shapes: int
    cut: int
    lost: int


@dataclass(frozen=True)
class WearNumbers:
    """A blade whose edge has been sharpened back; sizes at mid-length.

    Parameters
    ----------
    back
        How far the edge has gone back, mm.
    edge
        Thickness of the new edge before its stones, and of the first one, mm.
    strip
        How wide the bare strip along it shows, and showed, mm; None for no strip.
    height
        From the edge to the spine, now and when it was new, mm.
    shorter
        How far the tip has come back along the blade, mm.
    hanging
        How far (mm) the steel next to the heel, which the stones do not reach, stands below the edge until it is ground
        back with it.
    motif
        What of the bright pattern is gone, right and left face.
    """

    back: Mm
    edge: tuple[Mm, Mm]
    strip: tuple[Mm | None, Mm | None]
    height: tuple[Mm, Mm]
    shorter: Mm
    hanging: Mm
    motif: tuple[MotifLeft, MotifLeft]


def wear_numbers(
    ground: Ground, faces: tuple[FaceMap, FaceMap], worn: tuple[FaceMap, FaceMap], back: float, bright: tuple[str, ...]
) -> WearNumbers:
    """Return what ``back`` mm of sharpening leave: ``faces`` when new, ``worn`` then; ``bright`` names powders."""
    side: Side = "right" if ground.grind.right.is_ground else "left"
    outline = ground.blade.outline
    middle = np.array([outline.length / 2])
    high = float((outline.spine(middle) - outline.edge(middle))[0])
    now, new = (strip_of(ground, side, middle, off) for off in (back, 0.0))
    shares = 2.0 if all(ground.grind.bevel(each).is_ground for each in SIDES) else 1.0
    right, left = (_motif(*pair, bright) for pair in zip(faces, worn, strict=True))
    return WearNumbers(
        back,
        (shares * float(now.off[0]), shares * float(new.off[0])),
        (_width(float(now.width[0])), _width(float(new.width[0]))),
        (max(high - back, 0.0), high),
        _shorter(ground, back),
        back if ground.plunge else 0.0,
        (right, left),
    )


def _shorter(ground: Ground, back: float) -> float:
    """Return how far the tip comes back: to where the spine lies as far from the first edge as the edge has gone."""
    outline = ground.blade.outline
    along = np.linspace(0, outline.length, SPINE_PLACES)
    left = along[outline.edge_distance(along, outline.spine(along)) >= back]
    return outline.length - float(left.max(initial=0.0))


def _width(width: float) -> float | None:
    return width if np.isfinite(width) else None


def _motif(new: FaceMap, worn: FaceMap, bright: tuple[str, ...]) -> MotifLeft:
    from scipy.ndimage import label

    steel = new.share_of(bright)
    if new.off_pattern is not None:
        steel = np.where(new.off_pattern, 0, steel)
    was = steel * new.grid.coverage
    left = steel * worn.grid.coverage
    numbers, count = label(steel * (new.grid.coverage > 0) > 0.5)
    areas, rests = (np.bincount(numbers.ravel(), each.ravel(), count + 1)[1:] for each in (was, left))
    counts = areas > LEAST_SHAPE * new.grid.px_per_mm**2
    gone = 1 - rests[counts] / areas[counts]
    lost = int((gone >= NEARLY_ALL).sum())
    cut = int((gone > 0.01).sum()) - lost
    total = float(was.sum(dtype=float))
    return MotifLeft(1 - float(left.sum(dtype=float)) / total if total else 0.0, int(counts.sum()), cut, lost)
