"""Which way a blade lies in its outline: level, its tip on the right, its edge below, and where its heel is.

The thresholds are our own judgement, tried on drawings of our own; what is stated in the job goes before all of them.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.units import Sentence, say
from preview.blade.outlines.chains import Chains, cut
from preview.blade.outlines.choil import choil_of

TipAt = Literal["left", "right"]
EdgeAt = Literal["bottom", "top"]

_CLEARLY = 0.04
"""By how much of the blade's height one line has to look more like an edge than the other."""

_LEVEL = 12.0
"""A drawing that lies off level by less than this (degrees) is taken to lie as it is meant."""


def laid_level(ring: Array, turn: float | None) -> tuple[Array, list[Sentence]]:
    """Return the ring turned so that the blade lies along x, and a note where it was."""
    notes: list[Sentence] = []
    if turn is None:
        turn = -_lies_at(ring)
        if turn:
            notes.append(say("The drawing is turned by {}° to lie level.", f"{turn:.3g}"))
    angle = np.radians(turn)
    return ring @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]), notes


def _lies_at(ring: Array) -> float:
    """Return the angle (degrees, -90 to 90) at which a ring lies; a whole quarter where it is near one."""
    long = _long_side(ring)
    angle = _undirected(float(np.degrees(np.arctan2(long[1], long[0]))))
    quarter = 90.0 * round(angle / 90)
    if abs(angle - quarter) <= _LEVEL:
        return abs(quarter)
    # drawn aslant
    stretch = _longest_stretch(ring, long)
    return angle if stretch is None else _undirected(float(np.degrees(np.arctan2(*(stretch[1] - stretch[0])[::-1]))))


def straightest(ring: Array) -> float:
    """Return the angle (degrees, -90 to 90) at which a blade's longest straight stretch of edge or spine lies.

    Of a ring that was traced rather than drawn, and so is a little rough. Where no stretch is straight it is the
    angle of the whole.
    """
    long = _long_side(ring)
    stretch = _longest_stretch(ring, long)
    if stretch is None:
        return _undirected(float(np.degrees(np.arctan2(long[1], long[0]))))
    way = (stretch[1] - stretch[0]) / np.hypot(*(stretch[1] - stretch[0]))
    off = ring - stretch[0]
    along, beside = off @ way, off @ (-way[1], way[0])
    run = float((stretch[1] - stretch[0]) @ way)
    on = (along > 0.05 * run) & (along < 0.95 * run) & (np.abs(beside) < 2e-3 * np.hypot(*long))
    for _ in range(5):  # a stretch that begins to bend at its end tells less there
        slope, height = np.polyfit(along[on], beside[on], 1)
        left = np.abs(beside - slope * along - height)
        on &= left <= max(2.0 * float(np.median(left[on])), 1e-5 * run)
    return _undirected(float(np.degrees(np.arctan2(way[1], way[0]) + np.arctan(slope))))


def _long_side(ring: Array) -> Array:
    """Return the long side of the smallest rectangle round a ring, as a step."""
    box = np.asarray(shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.Polygon(ring))))
    sides = np.diff(box[:3], axis=0)
    return np.asarray(sides[np.argmax(np.hypot(*sides.T))])


def _longest_stretch(ring: Array, long: Array) -> Array | None:
    """Return the ends (2, 2) of the longest straight stretch of edge or spine, which stand out further than a tang."""
    corners = np.asarray(shapely.get_coordinates(shapely.simplify(shapely.linearrings(ring), 5e-4 * np.hypot(*long))))
    runs = np.diff(corners, axis=0)
    lengths, angles = np.hypot(*runs.T), np.degrees(np.arctan2(runs[:, 1], runs[:, 0]))
    angle = np.degrees(np.arctan2(long[1], long[0]))
    lengths[np.abs((angles - angle + 90) % 180 - 90) > _LEVEL] = 0
    rim, off = shapely.convex_hull(shapely.linearrings(ring)).exterior, 2e-3 * np.hypot(*long)
    on_rim = shapely.distance(rim, shapely.points(corners)) < off
    lengths[~(on_rim[:-1] & on_rim[1:])] = 0
    best = int(np.argmax(lengths))
    return corners[best : best + 2] if lengths[best] >= 0.15 * np.hypot(*long) else None


def _undirected(angle: float) -> float:
    return 90 - (90 - angle) % 180


def tip_to_the_right(chains: Chains, tip_at: TipAt | None, notes: list[Sentence]) -> Chains:
    """Return the outline with its tip on the right; the tip is where the outline is pointed."""
    if tip_at is None:
        left, right = chains.ends
        near = (right - left) * np.array([0.005, 0.01, 0.02])
        at_left, at_right = (float(chains.width(x).sum()) for x in (left + near, right - near))
        tip_at = "left" if at_left < at_right else "right"
        if max(at_left, at_right) < 1.5 * min(at_left, at_right):
            notes.append(say("Both ends are about as pointed; the {} one is taken for the tip: state tip_at.", tip_at))
        elif tip_at == "left":
            notes.append(say("The tip is drawn on the left; the drawing is mirrored."))
    return chains.back_to_front if tip_at == "left" else chains


def heel_of(chains: Chains) -> float:
    """Return where the heel is: where the outline, seen from the tip, steps to what stays narrower; else its end."""
    back, tip = chains.ends
    whole = tip - back
    x = np.linspace(tip, back, 4001)
    width = chains.width(x)
    widest = np.maximum.accumulate(width)
    step = 80  # two hundredths of the whole
    drop = np.zeros_like(width)
    drop[step:-step] = (width[: -2 * step] - width[2 * step :]) / widest[step:-step]
    steep = np.flatnonzero((drop > 0.1) & (x < tip - 0.3 * whole) & (x > back + 0.03 * whole))
    for group in np.split(steep, np.flatnonzero(np.diff(steep) > 1) + 1):
        if not len(group):
            break
        behind, top = width[group[-1] :], widest[group[0]]
        recovers = behind[: int(0.12 * 4000)].max() > 0.97 * top and len(behind) > 0.12 * 4000
        if recovers or behind.mean() > 0.92 * top or x[group[-1]] < back + 0.05 * whole:
            continue  # a notch, a wave, or the end itself
        start = max(group[0] - step, 0)
        first = start + int(np.argmax(width[start:] < 0.97 * width[start]))
        corners = np.concatenate([chains.lower[:, 0], chains.upper[:, 0]])
        near = corners[np.abs(corners - x[first]) < 0.005 * whole]
        if not near.size:
            return float(x[first])
        nearest = near[np.argmin(np.abs(near - x[first]))]
        return float(near[near < nearest + 5e-4 * whole].max())  # a shoulder may stand a little aslant
    return back


def edge_to_the_bottom(chains: Chains, heel: float, edge_at: EdgeAt | None, notes: list[Sentence]) -> Chains:
    """Return the outline with its edge below: the side of the choil, and of the larger step at the heel."""
    if edge_at is None:
        below, above = (_signs_of_edge(each, heel) for each in (chains, chains.upside_down))
        edge_at = "top" if above > below + _CLEARLY else "bottom"
        if abs(above - below) <= _CLEARLY:
            notes.append(
                say("Nothing tells the edge from the spine; the lower line is taken for the edge: state edge_at.")
            )
        elif edge_at == "top":
            notes.append(say("The edge is drawn on top; the drawing is mirrored."))
    return chains.upside_down if edge_at == "top" else chains


def _signs_of_edge(chains: Chains, heel: float) -> float:
    """Return how much the lower line looks like an edge at the heel, in shares of the blade's height."""
    back, tip = chains.ends
    high = float(chains.width(np.linspace(heel, tip, 200)).max())
    edge = cut(chains.lower, heel)[1]
    notch = choil_of(edge)
    step = 0.0
    if heel - back > 0.03 * (tip - back):
        step = float(chains.low(np.linspace(back, heel, 50)[5:-5]).mean() - edge[0, 1])
    return (max(step, 0.0) + (notch[2] if notch else 0.0)) / high
