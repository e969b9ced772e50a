"""A face's rim followed on a photograph until the camera's pose is as sure as it gets, and a card beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import RequestError
from preview.seen.camera import ENTRIES, Pose, prior_residuals, project
from preview.seen.card import THICK, Card, on_ground
from preview.seen.edges import CLEAR, Edges, look
from preview.seen.rim import SPACING, Rim

ROUNDS = (6.0, 4.0, 3.0, 2.0, 1.2, 0.8, 0.6)
"""How far the rim may lie from where it is looked for, mm, standard deviation; round after round."""

ERROR, CARD_ERROR = 0.25, 0.12
"""How far an outline that is ground by hand lies from the drawn one, mm, standard deviation; and the edge of a card, as
it is seen."""

GROWN = 0.15
"""How much further out an outline may lie than drawn all round, mm, standard deviation: as it is ground and seen."""

TOGETHER, CARD_TOGETHER = 30.0, 10.0
"""Length over which they err alike, mm: so few independent places count. A card is cut straight. On 24 made-up
photographs 50 and 0.06 mm left the camera along the steel 0.38 mm off with a card (0.59 stated), these 0.30 (0.52)."""

CLOSE = 0.8
"""How far (mm) from the rim an edge may lie that is its own."""

END, SHORTEST_END = 0.9, 8.0
"""Cosine by which a rim's outward normal is turned from along where it is an end, heel's or tip's; the least length of
one that counts, mm."""

WITH_CARD = 2.0
"""From which of `ROUNDS` on a card's edges are looked for: the rim is found before."""

LEAST_CARD = 0.5
"""Share of a card's edges that has to be seen."""


@dataclass(frozen=True, eq=False)
class Followed:
    """A pose in which the rim lies where a photograph shows one.

    Parameters
    ----------
    pose
        The pose.
    off
        How far the rim still lies off, mm.
    share, at_ends
        Share of the rim along which an edge is seen close by; and of that of its worse end, heel or tip.
    """

    pose: Pose
    off: float
    share: float
    at_ends: float


def follow(pixels: Float32, rim: Rim, pose: Pose, card: Card | None = None) -> Followed:
    """Return the pose in which the rim lies where the photograph shows one, and a card likewise.

    ``pixels`` is the logarithm of the photograph's linear light, ``(rows, columns, 3)``. For a card the rim has to be
    followed before, without it.

    Raises
    ------
    RequestError
        If a card's edges are not seen where they are said to be.
    """
    from scipy.optimize import least_squares

    rms, card_rms, grown = 1.0, 1.0, 0.0
    placed: Array = np.zeros(0)
    for reach in ROUNDS if card is None else [each for each in ROUNDS if each <= WITH_CARD]:
        seen = look(pixels, rim.places, rim.normals, pose, reach)
        error = max(ERROR, rms if reach == ROUNDS[-1] else rms / 2)
        lines = [_Line(rim.places, rim.normals, seen, error, 0.2 * reach, TOGETHER)]
        if card is not None:
            placed = placed if placed.size else card.placed(pose, rim.lies - THICK)
            places, normals = card.line()
            there, out = on_ground(placed, places, normals, rim.lies - THICK)
            edges = look(pixels, there, out, pose, reach)
            lines.append(_Line(places, normals, edges, max(CARD_ERROR, card_rms), 0.2 * reach, CARD_TOGETHER))

        found = least_squares(
            _residuals, np.concatenate([pose.values, [grown], placed]), x_scale="jac", max_nfev=30,
            args=(lines, pose.size, rim.lies - THICK),
        )  # fmt: skip
        pose, grown, placed = replace(pose, values=found.x[:ENTRIES]), found.x[ENTRIES], found.x[ENTRIES + 1 :]
        gone = seen.off(pose.project(rim.places)) + grown
        rms = 1.4826 * float(np.median(np.abs(gone)))
        if len(lines) > 1:
            card_gone = edges.off(pose.project(on_ground(placed, places, normals, rim.lies - THICK)[0]))
            card_rms = 1.4826 * float(np.median(np.abs(card_gone)))
    if card is not None and _near(edges, card_gone).mean() < LEAST_CARD:
        problem = "its edges are not seen there; give its four corners from the upper left one clockwise, and its size"
        raise RequestError.at("card", problem)
    covariance = np.linalg.inv(found.jac.T @ found.jac + 1e-12 * np.eye(len(found.x)))
    near, facing = _near(seen, gone), rim.normals[:, 0]
    ends = [near[end].mean() for end in (facing < -END, facing > END) if end.sum() * SPACING > SHORTEST_END]
    pose = replace(pose, covariance=covariance[:ENTRIES, :ENTRIES])
    return Followed(pose, rms, float(near.mean()), float(min(ends, default=1.0)))


@dataclass(frozen=True, eq=False)
class _Line:
    """A line and its edges on a photograph: how far it errs, how far off one is softened, how long it errs alike."""

    places: Array
    normals: Array
    edges: Edges
    error: float
    soft: float
    together: float

    def residuals(self, values: Array, size: tuple[int, int], places: Array, grown: float = 0.0) -> Array:
        """Return how far it, ``grown`` mm outwards, lies off its edges in standard deviations, outliers softened."""
        gone, soft = self.edges.off(project(values, places, size)) + grown, max(1.2 * self.error, self.soft)
        robust = np.sign(gone) * np.sqrt(2 * soft**2 * (np.sqrt(1 + (gone / soft) ** 2) - 1))
        return np.asarray(self.edges.weight * robust / (self.error * np.sqrt(self.together / SPACING)))


def _residuals(values: Array, lines: list[_Line], size: tuple[int, int], lies: float) -> Array:
    """Return how far a pose, an outline's growth and a card's place lie off edges, and off what is usual."""
    pose, grown, placed = values[:ENTRIES], values[ENTRIES], values[ENTRIES + 1 :]
    here = [lines[0].residuals(pose, size, lines[0].places, grown)]
    for line in lines[1:]:
        here.append(line.residuals(pose, size, on_ground(placed, line.places, line.normals, lies)[0]))
    return np.concatenate([*here, prior_residuals(pose), [grown / GROWN]])


def _near(edges: Edges, gone: Array) -> Mask:
    """Say beside which places an edge is seen that lies ``gone`` (mm) off."""
    return np.asarray((edges.weight > 0) & (edges.rise > CLEAR) & (np.abs(gone) < CLOSE))
