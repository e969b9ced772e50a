"""Marks seen on an etched section or face of a bar whose pattern is known, matched to where they were laid."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import FileError, RequestError
from preview.base.settings import LARGEST
from preview.base.spreadsheets import typed
from preview.base.tables import read_rows, sized
from preview.forge.fitting import fit_placed
from preview.forging.history import History
from preview.job.calibration import Calibration

SEEN = ("x", "y")
LAID = ("can_across", "can_up")
LAID_UNDER_FACE = ("can_along", "can_across")
RULED = ("x", "y", "across", "through")

MARK_ERROR = 0.15
"""Standard deviation of a mark's place read off a photo, mm."""

LEAST_MARKS = 4


def read_table(path: Path, columns: tuple[str, ...]) -> Array:
    """Read the named columns (n, len(columns)) of a table with a heading line; `FileError` says what is wrong."""
    found = read_rows(path)
    missing = [name for name in columns if name not in found.rows[0]]
    if missing:
        msg = f"{path}: missing column {', '.join(missing)}; needed: {', '.join(columns)}"
        raise FileError(msg)
    table = []
    for number, row in enumerate(found.rows, start=1):
        try:
            table.append(
                sized((row.get(name, "") for name in columns), (found.units.get(name, "") for name in columns))
            )
        except ValueError:
            given = ", ".join(typed(row.get(name)) for name in columns)
            msg = f"{path}: row {number}: numbers are needed for {', '.join(columns)}; given {given}"
            raise FileError(msg) from None
        if not all(abs(value) <= LARGEST for value in table[-1]):
            given = ", ".join(typed(row.get(name)) for name in columns)
            msg = f"{path}: row {number}: {', '.join(columns)} have to be {LARGEST:.0f} at most; given {given}"
            raise FileError(msg)
    return np.array(table)


def photo_to_mm(points: Array, ruled: Array) -> Array:
    """Carry photo points (n, 2), pixels with y down, to millimetres of the section by points of known place.

    ``ruled`` is (m, 4): x, y in pixels, across, through in mm. Two or three give a similarity, four or more a
    projective transform (scikit-image), which also puts a slanted photo right.
    """
    from skimage.transform import ProjectiveTransform, SimilarityTransform

    if len(ruled) < 2:
        raise RequestError.at(
            "ruler", "two points of known place at least are needed to turn the photo into millimetres"
        )
    flip = np.array([1.0, -1.0])  # pictures count down, sections up
    kind = ProjectiveTransform if len(ruled) >= 4 else SimilarityTransform
    found = kind.from_estimate(ruled[:, :2] * flip, ruled[:, 2:])
    if not found:
        raise RequestError.at("ruler", "the points of known place lie so that they fix no transform; spread them out")
    carried = np.asarray(found(points * flip))
    if not (np.abs(carried) <= LARGEST).all():
        raise RequestError.at("ruler", "the points of known place carry some marks no end away; look at their order")
    return carried


def fit_marks(
    history: History, laid: Array, seen: Array, date: str = "", *, on_face: bool = False
) -> tuple[Calibration, float]:
    """Fit spread and friction of a history's presses to marks seen on its section, or on its upper face.

    Parameters
    ----------
    history
        The bar's can and steps.
    laid
        Where the marks were laid in the can, (n, 2), mm: across and up; on a face along and across.
    seen
        Where they were seen, (n, 2), mm, from any origin, a little turned: across and through; on a face along and
        across.

    Returns
    -------
    Calibration
        With the number of marks as its rows.
    float
        Remaining misfit, rms, mm.
    """
    if len(laid) < LEAST_MARKS:
        raise RequestError.at("marks", f"{LEAST_MARKS} marks at least are needed; given {len(laid)}")

    def forged(factor: float, friction: float) -> History:
        return replace(history, steps=tuple(step.in_forge(friction, factor, over_own=True) for step in history.steps))

    def of_section(factor: float, friction: float, place: Array) -> Array:
        predicted = forged(factor, friction).can_to_bar(points)[:, 1:]
        if np.isnan(predicted).any():
            raise RequestError.at("marks", "some marks lie outside the can, or were milled off")
        return seen - placed(predicted, place)

    def of_face(factor: float, friction: float, place: Array) -> Array:
        """Pull the seen marks back to the can; the mean stretch turns what is left into millimetres of the bar."""
        tried = forged(factor, friction)
        on_bar = placed(seen - place[:2], np.array([0.0, 0.0, -place[2]]))
        found = tried.origin(np.column_stack([on_bar, np.full(len(seen), tried.bar.thickness / 2)]))[:, :2]
        return np.asarray((found - laid) * (np.array(tried.bar.size) / np.array(tried.start.size))[:2])

    points = np.column_stack([np.zeros(len(laid)), laid])
    return fit_placed(of_face if on_face else of_section, len(laid), MARK_ERROR, date)


def placed(points: Array, place: Array) -> Array:
    """Return points (n, 2) turned by the last of ``place`` (rad) and shifted by the first two (mm)."""
    right, up, turn = place
    turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return np.asarray(points @ turned + (right, up))
