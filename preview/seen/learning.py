"""What a photograph taught: the table that the job keeps of it, and what is said of the forge."""

from __future__ import annotations

from typing import Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Sentence, mm, say
from preview.job.calibration import Calibration
from preview.job.fingerprint import fingerprint
from preview.job.job import Job
from preview.job.seen import MOSTLY, Left, Seen, Table
from preview.seen.fitting import Fit
from preview.seen.ways import PX_PER_MM, Face, Ways

Of = Literal["bar", "blade"]

NODES = 8.0
"""Between the places of what is kept, mm."""

LEFT = 10
"""Ways that are kept of what the photograph left open: the widest."""


def kept_as_seen(job: Job, of: Of, face: Face, ways: Ways, steel: Array, covariance: Array) -> tuple[Seen, Array]:
    """Return what is kept of a field, at places `NODES` apart, and its standard deviation over the face, mm."""
    rows, columns = face.along.shape
    step = round(NODES * PX_PER_MM)
    down, right = (
        np.unique(np.append(np.arange(0, size, step)[: -(-size // step)], size - 1)) for size in (rows, columns)
    )
    down = np.linspace(0, rows - 1, max(2, len(down))).round().astype(int)[::-1]  # from the edge side up
    right = np.linspace(0, columns - 1, max(2, len(right))).round().astype(int)
    at_rows, at_cols = (each.ravel() for each in np.meshgrid(down, right, indexing="ij"))
    each = ways.at(at_rows, at_cols).astype(float)
    each[ways.of_camera] = 0
    flat = each.reshape(len(each), -1)
    field = (steel @ flat).reshape(2, len(down), len(right))
    whole = flat.T @ covariance @ flat
    sizes, modes = np.linalg.eigh(whole)
    widest = np.argsort(-sizes)[:LEFT]
    left = (modes[:, widest] * np.sqrt(np.maximum(sizes[widest], 0))).T.reshape(-1, 2, len(down), len(right))
    sd = np.sqrt(np.maximum(whole.diagonal(), 0)).reshape(2, len(down), len(right))
    grid_row = np.interp(np.arange(rows), down[::-1], np.arange(len(down))[::-1])
    grid_col = np.interp(np.arange(columns), right, np.arange(len(right)))
    from scipy.ndimage import map_coordinates

    over = np.stack([map_coordinates(each, np.meshgrid(grid_row, grid_col, indexing="ij"), order=1) for each in sd])
    bar = job.history.bar
    x, y, _ = job.blade.corner(bar)
    start = (float(face.along[0, right[0]] + x + bar.length / 2), float(face.across[down[0], 0] + y + bar.width / 2))
    spacing = (
        float(np.ptp(face.along[0, right])) / (len(right) - 1),
        float(np.ptp(face.across[down, 0])) / (len(down) - 1),
    )
    seen = Seen(
        of=of, forged=fingerprint(job), bar=(round(bar.length, 3), round(bar.width, 3)), start=start, spacing=spacing,
        along=_table(field[0]), across=_table(field[1]),
        left=tuple(Left(along=_table(one), across=_table(other)) for one, other in left),
    )  # fmt: skip
    return seen, over


def _table(values: Array) -> Table:
    return tuple(tuple(round(float(value), 3) for value in row) for row in values)


def learnt_of(job: Job, of: Of, ways: Ways, fit: Fit, field: Array, face: Face) -> tuple[Sentence, ...]:
    """Say what the photograph taught: of the forge only what one photograph can."""
    on = face.on_face
    far = np.hypot(*field[:, on])
    words = [
        say("The pattern lies {} from where it was shown, taken over the face, and {} at most.",
            mm(float(np.sqrt((far**2).mean())), form=".1f"), mm(float(np.quantile(far, 0.98)), form=".1f")),
    ]  # fmt: skip
    errors = np.sqrt(np.maximum(fit.covariance.diagonal(), 0))
    forge = job.forge or Calibration()
    place = ways.names.index("spread")
    if forge.spread_factor_error:
        by, sure = (each[place] * forge.spread_factor_error / forge.spread_factor for each in (fit.weights, errors))
        if sure < 0.7 * forge.spread_factor_error / forge.spread_factor:
            more = "more" if by >= 0 else "less"
            told = (
                f"Your bar spread {abs(by):.0%} {more} than the law has it, give or take {MOSTLY * sure:.0%} four "
                "times of five, by where the pattern lies within the rim."
            )
            words.append(say("{}", told))
        else:
            words.append(say("How far the bar spread was not learnt from this photograph."))
    if of == "bar":
        words.append(
            say(
                "How long and wide the bar is was not learnt: it is taken as reckoned, to lay the photograph on it; "
                "measure it."
            )
        )
    words.append(
        say("Friction, the middle of the blade, and how the can settled cannot be learnt from one photograph.")
    )
    return tuple(words)
