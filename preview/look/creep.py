"""The etch's own line: it creeps a little past where the steels meet, and not everywhere alike.

For pictures only; what stands at a pixel, and what is counted, stays on the line itself.
"""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Float32
from preview.base.blocks import in_row_blocks
from preview.base.cache import kept
from preview.face.face_map import FaceMap
from preview.look.texture import uneven

CREEP = 0.05
"""Standard deviation of what the etch makes of a sharp line, mm: a half-tone some 0.1 mm wide (chosen by eye)."""

RAGGED, GRAINS = 0.015, 0.11
"""How far the line strays, standard deviation, and from one grain of powder to the next, mm (chosen by eye)."""

MOST = 0.25
"""Share of a pixel that each neighbour takes, at most."""


def crept(face: FaceMap, seed: int) -> tuple[Float32, ...]:
    """Return a face's shares (see `FaceMap`) as the etch brings them out: soft and ragged where two steels meet.

    All shares of a pixel are moved alike, so they add up as before.
    """
    rows, columns = face.grid.shape
    fine = face.grid.px_per_mm
    taken = np.float32(min(MOST, 0.5 * (CREEP * fine) ** 2))
    strays = _strays((rows, columns), fine, seed)
    made = tuple(np.empty_like(share) for share in face.shares)

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        behind, before = taken + strays[part], taken - strays[part]
        for share, into in zip(face.shares, made, strict=True):
            there = np.pad(share[wide], ((part.start == 0, part.stop == rows), (1, 1)), mode="edge")
            middle = slice(1, 1 + part.stop - part.start), slice(1, -1)
            soft = there[middle[0], 2:] + there[2:, middle[1]]
            soft *= behind
            other = there[middle[0], :-2] + there[:-2, middle[1]]
            other *= before
            soft += other
            np.multiply(there[middle], 1 - 4 * taken, out=other)
            soft += other
            np.clip(soft, 0, 1, out=into[part])

    in_row_blocks(work, rows, columns)
    return made


@kept
def _strays(shape: tuple[int, int], px_per_mm: float, seed: int) -> Float32:
    """Return what a difference from the pixel before to the one behind counts for: half of how far the line strays."""
    return np.float32(0.5 * RAGGED * px_per_mm) * uneven(shape, GRAINS * px_per_mm, seed)
