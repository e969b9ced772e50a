"""The sharpened edge: the strip of bare steel that the stones leave along a ground edge, as seen from the side."""

from __future__ import annotations

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Sentence, say
from preview.blade.grind import Side
from preview.blade.ground import Ground

LEAST_STEEPER = 0.5
"""Degrees by which the edge has to be steeper than the bevel for the stones to leave a strip (our own choice)."""

_NEAR = 0.05
"""How far from the edge a bevel's own angle there is read, mm."""


def edge_middle(ground: Ground, side: Side, along: Array) -> Array:
    """Return where the sharpened edge lies, mm outwards of the mid-plane on ``side``, at stations ``along``."""
    lines = ground.bevel(side, along)
    other = ground.grind.bevel("left" if side == "right" else "right")
    # a face that is not ground stays as it is: all the stones take comes off the other one
    return lines.foot - ground.grind.edge * (0.5 if other.is_ground else 1.0)


def bevel_angle(ground: Ground, side: Side, along: Array) -> Array:
    """Return the angle (degrees a side) at which the bevel meets the edge at stations ``along``."""
    lines = ground.bevel(side, along)
    distance = np.full_like(lines.foot, _NEAR)
    return np.degrees(np.arctan((lines.stand(distance) - lines.stand(0 * distance)) / _NEAR))


def strip_width(ground: Ground, side: Side, along: Array) -> Array:
    """Return how wide (mm) the strip is that sharpening leaves on ``side``, seen from the side, at stations ``along``.

    The stones' plane rises from the edge at the edge angle ``a`` and meets the bevel, which stands half the edge's
    thickness ``t`` off it and rises at its own angle ``b``: ``(t / 2) / (tan a - tan b)``. NaN where the bevel is as
    steep, and where nothing is ground to the full: on the ricasso and in the plunge.
    """
    lines = ground.bevel(side, along)
    if not lines.bevel.is_ground:
        return np.full(lines.foot.shape, np.nan)
    bevel, edge = bevel_angle(ground, side, along), ground.grind.edge_angle
    off = lines.foot - edge_middle(ground, side, along)
    steeper = (lines.depth >= 1) & (edge - bevel >= LEAST_STEEPER)
    rise = np.tan(np.radians(edge)) - np.tan(np.radians(np.where(steeper, bevel, 0.0)))
    return np.where(steeper, off / rise, np.nan)


def mid_strip(ground: Ground, side: Side) -> float | None:
    """Return how wide the strip is at mid-length, mm; None where ``side`` has none."""
    width = float(strip_width(ground, side, np.array([ground.blade.outline.length / 2]))[0])
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
        angle = float(bevel_angle(ground, side, middle)[0])
        notes.append(say(words.format(which, angle, ground.grind.edge_angle)))
    return tuple(notes)
