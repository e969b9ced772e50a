"""The etch's own line: it creeps a little past where the steels meet, and not everywhere alike.

For pictures only; what stands at a pixel, and what is counted, stays on the line itself.
"""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Float32
from preview.base.blocks import in_row_blocks
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
    # half of it, as a difference from the pixel before to the one behind spans two
    strays = np.float32(0.5 * RAGGED * fine) * uneven((rows, columns), GRAINS * fine, seed)
    made = tuple(share.copy() for share in face.shares)

    def work(part: slice) -> None:
        wide = slice(max(part.start - 1, 0), min(part.stop + 1, rows))
        stray = strays[part]
        for share, into in zip(face.shares, made, strict=True):
            there = np.pad(share[wide], ((part.start == 0, part.stop == rows), (1, 1)), mode="edge")
            inner = slice(1, 1 + part.stop - part.start)
            own, left, right = (there[inner, each] for each in (slice(1, -1), slice(0, -2), slice(2, None)))
            above, below = there[: inner.stop - 1, 1:-1], there[2:, 1:-1]
            into[part] += stray * (right - left + below - above)
            into[part] += taken * (left + right + above + below - 4 * own)
            np.clip(into[part], 0, 1, out=into[part])

    in_row_blocks(work, rows, columns)
    return made
