"""The choil: a notch in the edge near the heel, which is no edge to grind."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array


def lower_hull(line: Array) -> Array:
    """Return the lower convex hull of a line that runs left to right."""
    kept: list[Array] = []
    for point in line:
        while len(kept) > 1:
            run, next_run = kept[-1] - kept[-2], point - kept[-1]
            if run[0] * next_run[1] - run[1] * next_run[0] > 0:
                break
            kept.pop()
        kept.append(point)
    return np.array(kept)


def choil_of(edge: Array) -> tuple[float, float, float] | None:
    """Return where a notch in the edge near the heel begins and ends, and its depth; None where there is none."""
    hull, length = lower_hull(edge), edge[-1, 0] - edge[0, 0]
    gap = edge[:, 1] - np.interp(edge[:, 0], *hull.T)
    for begin, end in zip(hull[:-1, 0], hull[1:, 0], strict=True):
        between = np.flatnonzero((edge[:, 0] >= begin) & (edge[:, 0] <= end))
        deepest = between[np.argmax(gap[between])]
        # its mouth: the corners that a thread drawn tight from its deepest place leans on
        before, after = lower_hull(edge[between[0] : deepest + 1]), lower_hull(edge[deepest : between[-1] + 1])
        if gap[deepest] < 0.3 or min(len(before), len(after)) < 2:
            continue
        first, last = float(before[-2, 0]), float(after[1, 0])
        near = first <= edge[0, 0] + 0.4 * length
        if near and last - first <= 0.2 * length and gap[deepest] >= 0.12 * (last - first):
            return first, last, float(gap[deepest])
    return None
