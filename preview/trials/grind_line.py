"""Where the grind line runs on a face: drawn thin on its picture, and which parts of the motif it crosses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Bytes, Mask
from preview.base.units import METRIC, Units
from preview.blade.ground import Ground
from preview.face.face_map import FaceMap
from preview.forge.bands import LEAST_PART

THIN = 1.6
"""Width of the line on a picture, pixels."""
COLOUR = (240, 228, 66)
"""Of the line: told apart from both steels, and without red and green (Okabe and Ito's set, quoted from memory)."""
CLEAR = 0.02
"""Share of a part beyond the line up to which it counts as clear of it: its rim is no finer than the pixels."""


def over_line(ground: Ground, face: FaceMap) -> tuple[Array, Mask]:
    """Return how far (mm) the pixels lie over the grind line, from the edge, and where along the blade there is one.

    ``(rows, columns)``, negative on the bevel; ``(columns,)``.
    """
    lines = ground.bevel(face.side, face.grid.along[0])
    return face.grid.distance - lines.height, lines.depth > 0


def draw_line(seen: Bytes, ground: Ground, face: FaceMap, colour: tuple[int, int, int] = COLOUR) -> Bytes:
    """Return a face's pixels as the viewer sees them, ``(rows, columns, 3)``, with the grind line drawn thin."""
    over, ground_there = over_line(ground, face)
    steep = np.maximum(np.hypot(*np.gradient(over)), 1e-6)
    cover = np.clip((THIN + 1) / 2 - np.abs(over) / steep, 0, 1) * ground_there * face.grid.shown
    drawn = seen + face.view.seen(cover)[..., None] * (np.array(colour) - seen)
    return np.asarray(np.rint(drawn), dtype=np.uint8)


@dataclass(frozen=True)
class Crossing:
    """How the grind line and the motif's parts lie to each other.

    Parameters
    ----------
    above, below
        How many parts lie wholly on the flat, and on the bevel.
    on
        Length and height (mm) of each part that the line crosses, and which share of it lies above; the largest first.
    near
        How near (mm) the line comes to the parts that it does not cross; infinite where there are none.
    """

    above: int
    below: int
    on: tuple[tuple[float, float, float], ...]
    near: float

    def words(self, units: Units = METRIC) -> str:
        """Return it in words."""
        rest = f"{self.above} above it, {self.below} below"
        if not self.on:
            if not self.above + self.below:
                return "past no bright part"
            parts = "part" if self.above + self.below == 1 else "parts"
            far = f" by {units.length(self.near, form='.1f')}" if np.isfinite(self.near) else ""  # beside the bevel
            return f"clear of the bright {parts}{far}: {rest}"
        length, height, share = self.on[0]
        size = f"{units.length(length, height, form='.0f')}, {share:.0%} of it above the line"
        if len(self.on) == 1:
            return f"crosses one bright part ({size}); {rest}"
        return f"crosses {len(self.on)} bright parts (the largest {size}); {rest}"


def find_crossing(ground: Ground, face: FaceMap, bright: tuple[str, ...]) -> Crossing:
    """Return how the grind line lies to the connected bright parts of a face, but for the smallest specks."""
    from scipy import ndimage

    over, ground_there = over_line(ground, face)
    over = np.where(ground_there, over, np.inf)
    scale = face.grid.px_per_mm
    labels, _ = ndimage.label((face.share_of(bright) >= 0.5) & face.grid.mask, np.ones((3, 3)))
    above, below, on, near = 0, 0, [], np.inf
    for number, box in enumerate(ndimage.find_objects(labels), start=1):
        there = labels[box] == number
        if there.sum() < LEAST_PART * scale**2:
            continue
        part = over[box][there]
        share = float((part > 0).mean())
        if CLEAR < share < 1 - CLEAR:
            high, wide = there.shape
            on.append((float(there.sum()), (wide / scale, high / scale, share)))
            continue
        above, below = above + (share > 0.5), below + (share <= 0.5)
        near = min(near, float(max(part.min(), 0) if share > 0.5 else max(-part.max(), 0)))
    return Crossing(above, below, tuple(size for _, size in sorted(on, reverse=True)), near)
