"""Points of the pattern that a hand shows on the photograph and on the face: they join in a fit, or do it alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import PreviewError, RequestError
from preview.base.units import Sentence, mm, say
from preview.blade.grind import Side
from preview.seen.camera import Pose
from preview.seen.fitting import Fit
from preview.seen.ways import MARK_ERROR, Face, Marked, Ways

Marks = Sequence[tuple[tuple[float, float], tuple[float, float]]]
"""Of each mark its pixel of the photograph, from the left and from above, and the place of the face (mm from the heel
and above the edge line) where the preview shows the same point."""

MOST, LARGEST = 50, 1e6
"""Marks that are taken, and the number that none of their numbers reaches."""

BESIDE, FARTHEST = 2.0, 40.0
"""How far (mm) beyond the rim a mark may be, and how far off the pattern may lie at all."""

ALONE = 3
"""Marks that are needed where nothing is read from the photograph itself."""


def checked_marks(marks: Marks) -> Array:
    """Return marks as an array ``(n, 2, 2)``: pixels and places.

    Raises
    ------
    RequestError
        If one is none.
    """
    if len(marks) > MOST:
        raise RequestError.at("marks", f"at most {MOST} are taken, given {len(marks)}")
    found = []
    for number, mark in enumerate(marks, 1):
        try:
            each = np.array(mark, dtype=float)
        except (TypeError, ValueError):
            each = np.zeros(0)
        if each.shape != (2, 2) or not (np.abs(each) < LARGEST).all():
            problem = "a pixel of the photograph and a place of the face (mm) are needed, such as 1200,640=85,12.5"
            raise _at(number, problem)
        found.append(each)
    return np.array(found).reshape(-1, 2, 2)


def _at(number: int, problem: str | Sentence) -> PreviewError:
    where = f"marks.{number}"
    return RequestError.at(where, problem)


def marks_on(face: Face, side: Side, pose: Pose, marks: Array) -> Marked:
    """Return where marks ``(n, 2, 2)``, their pixels those of ``pose``, lie on a face, and how far off the preview is.

    Raises
    ------
    RequestError
        If one lies off the face, on the photograph or on the preview, or too far from where it is shown.
    """
    on = np.nonzero(face.on_face)
    places = face.places[on]
    seen = pose.project(places)
    rows, cols, offs = [], [], []
    for number, (pixel, place) in enumerate(marks, 1):
        nearest = int(((seen - pixel) ** 2).sum(axis=1).argmin())
        per_mm = (pose.project(places[nearest] + np.eye(3)[:2]) - seen[nearest]).T  # px for a mm rightwards, downwards
        right, down = np.linalg.solve(per_mm, pixel - seen[nearest])
        row, col = on[0][nearest], on[1][nearest]
        lies = np.array([face.along[row, col] + (-right if side == "left" else right), face.across[row, col] - down])
        beside = float(np.hypot(right, down))
        off = float(np.hypot(face.along[on] - place[0], face.across[on] - place[1]).min())
        far = float(np.hypot(*(place - lies)))
        if beside > BESIDE:
            problem = "its pixel lies {} off the face on the photograph; at most {} are taken"
            raise _at(number, say(problem, mm(beside, form=".3g"), mm(BESIDE)))
        if off > BESIDE:
            raise _at(
                number, say("its place lies {} off the face; at most {} are taken", mm(off, form=".3g"), mm(BESIDE))
            )
        if far > FARTHEST:
            problem = "is seen {} from where the preview has it; at most {} are taken: is it the same point on both?"
            raise _at(number, say(problem, mm(far, form=".0f"), mm(FARTHEST)))
        rows.append(row)
        cols.append(col)
        offs.append(place - lies)
    return Marked(np.array(rows), np.array(cols), np.array(offs).T)


def by_marks(ways: Ways, read: Fit) -> Fit:
    """Return the fit by the marks alone, where what was ``read`` from the photograph tells nothing."""
    return Fit(ways.expected(), np.linalg.inv(ways.prior()), read.explained, read.evidence, read.contrast)


def worst_mark(ways: Ways, fit: Fit) -> tuple[int, float, float]:
    """Return which mark agrees least with all the rest: its number, how far (mm) that has it elsewhere, and in sds.

    What the rest says without a mark follows from the fit with it (its leverage), as in any linear least squares.
    """
    assert ways.marked is not None
    each = ways.at(ways.marked.rows, ways.marked.cols)
    left = ways.marked.off - np.einsum("w,wkp->kp", fit.weights, each)
    lever = np.einsum("vip,vw,wjp->pij", each, fit.covariance, each) / MARK_ERROR**2
    elsewhere = np.linalg.solve(np.eye(2) - lever, left.T[..., None])[..., 0]
    far = np.sqrt((elsewhere * left.T).sum(axis=1)) / MARK_ERROR
    worst = int(far.argmax())
    return worst + 1, float(np.hypot(*elsewhere[worst])), float(far[worst])
