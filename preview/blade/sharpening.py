"""The sharpened edge: the strip of bare steel that the stones leave along a ground edge, as seen from the side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Sentence, say
from preview.blade.grind import Side
from preview.blade.ground import Ground

_NEAR = 0.05
"""How far from the edge a bevel's own angle there is read, mm."""


@dataclass(frozen=True, eq=False)
class Strip:
    """The strip that sharpening leaves along one face's edge, at stations along the blade; arrays of one shape, mm.

    Parameters
    ----------
    middle
        Where the sharpened edge lies, outwards of the mid-plane.
    off
        How far outwards of it the bevel's foot stands: half the edge's thickness, all of it at a single bevel.
    width
        How wide the strip shows from the side; NaN where there is none.
    bevel_angle
        At what angle (degrees a side) the bevel meets the edge.
    """

    middle: Array
    off: Array
    width: Array
    bevel_angle: Array


def strip_of(ground: Ground, side: Side, along: Array, back: Array | float = 0.0) -> Strip:
    """Return the strip that sharpening leaves on ``side`` at stations ``along`` (mm).

    The edge lies ``back`` mm from the first one: so far it has been sharpened away.

    The stones' plane rises from the edge at the edge angle ``a`` and meets the bevel, which stands half the edge's
    thickness ``t`` off it and rises at its own angle ``b``: it is ``(t / 2) / (tan a - tan b)`` wide. There is none
    where a new bevel is as steep, or so nearly that all of it would be ground away; and where nothing is ground to the
    full: on the ricasso and in the plunge.
    """
    lines = ground.bevel(side, along)
    other = ground.grind.bevel(_other(side))
    # a face that is not ground stays as it is: all the stones take comes off the other one
    share = 0.5 if other.is_ground else 1.0
    edge = np.broadcast_to(back, lines.foot.shape).astype(float)
    stand = lines.stand(edge)
    off = share * (stand + ground.bevel(_other(side), along).stand(edge))
    if not lines.bevel.is_ground:
        none = np.full_like(lines.foot, np.nan)
        return Strip(stand - off, off, none, np.zeros_like(none))
    bevel = (lines.stand(edge + _NEAR) - stand) / _NEAR
    angle = np.degrees(np.arctan(bevel))
    stones = np.tan(np.radians(ground.grind.edge_angle))
    width = off / np.maximum(stones - bevel, 1e-9)
    left = (lines.depth >= 1) & ((edge > 0) | (width < lines.height))
    width = np.minimum(width, (lines.face - stand + off) / stones)  # where it meets the face over the bevel
    return Strip(stand - off, off, np.where(left, width, np.nan), angle)


def _other(side: Side) -> Side:
    return "left" if side == "right" else "right"


def mid_strip(ground: Ground, side: Side) -> float | None:
    """Return how wide the strip is at mid-length, mm; None where ``side`` has none."""
    width = float(strip_of(ground, side, np.array([ground.blade.outline.length / 2])).width[0])
    return width if np.isfinite(width) else None


def sharpening_notes(ground: Ground) -> tuple[Sentence, ...]:
    """Return in words where sharpening at the edge angle leaves no strip, because the bevel is as steep."""
    middle = np.array([ground.blade.outline.length / 2])
    notes = []
    for side, key in ground.grind.sides.items():
        if mid_strip(ground, side) is not None:
            continue
        words = (
            "{} meets the edge at {:.1f}° a side and the edge is to be sharpened at {:g}°: no strip of a sharpened "
            "edge shows, the stones would take the whole bevel down. A steeper edge, or a thinner bevel, leaves one."
        )
        which = "The bevel" if ground.grind.left is None else f"The {key} bevel"
        angle = float(strip_of(ground, side, middle).bevel_angle[0])
        notes.append(say(words.format(which, angle, ground.grind.edge_angle)))
    return tuple(notes)
