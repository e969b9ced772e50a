"""What a closed outline says of a blade: which way it lies, its tip and heel, edge and spine, choil and tang.

The thresholds are our own judgement, tried on drawings of our own; what is stated in the job goes before all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

import numpy as np
import shapely
from shapely.validation import explain_validity

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.units import Sentence, mm, say
from preview.blade.outlines.base import FULL, area_behind
from preview.blade.outlines.chains import Chains, cut

TipAt = Literal["left", "right"]
EdgeAt = Literal["bottom", "top"]

SMALLEST, LARGEST = 25.0, 1500.0
"""Lengths (mm) between which a drawing is taken for a blade's without a word."""

_CLEARLY = 0.04
"""By how much of the blade's height one line has to look more like an edge than the other."""

_LEVEL = 12.0
"""A drawing that lies off level by less than this (degrees) is taken to lie as it is meant."""


@dataclass(frozen=True)
class Stated:
    """What the job states of a drawing, lengths in mm of the blade; the rest is looked for."""

    length: float | None = None
    turn: float | None = None
    tip_at: TipAt | None = None
    edge_at: EdgeAt | None = None
    ricasso: float | None = None
    tang: float | None = None


@dataclass(frozen=True, eq=False)
class Understood:
    """A blade's outline as it was understood, blade frame, mm.

    Parameters
    ----------
    edge, spine
        Lines from heel to tip, ``(n, 2)``.
    bevel_edge
        The edge that bevels run from: without the choil, and drawn on to the heel.
    tang
        What lies behind the heel, from the spine round to the edge, ``(n, 2)``; empty where there is none.
    ricasso
        Unground length at the heel: where the plunge is.
    choil
        Where the notch in the edge begins and ends, along; None where there is none.
    notes
        What was understood, and what has to be stated where the drawing does not tell.
    """

    edge: Array
    spine: Array
    bevel_edge: Array
    tang: Array
    ricasso: float
    choil: tuple[float, float] | None
    notes: tuple[Sentence, ...]
    _told: bytes = field(init=False, repr=False)

    def __post_init__(self) -> None:
        lines = (self.edge, self.spine, self.bevel_edge, self.tang)
        told = (
            b"|".join(np.ascontiguousarray(line).tobytes() for line in lines)
            + repr((self.ricasso, self.choil)).encode()
        )
        object.__setattr__(self, "_told", told)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Understood) and self._told == other._told and self.notes == other.notes

    def __hash__(self) -> int:
        return hash(self._told)

    @property
    def length(self) -> float:
        """Heel to tip, mm."""
        return float(self.edge[-1, 0])

    @property
    def height(self) -> float:
        """From the edge's lowest place to the spine's highest, mm."""
        return float(self.spine[:, 1].max())


def the_outline(shapes: Sequence[Array], path: Path) -> tuple[Array, tuple[Sentence, ...]]:
    """Return the one outline among closed lines, and notes; holes inside it are left out.

    Raises
    ------
    FileError
        If there are several, or it crosses itself.
    """
    areas = [shapely.Polygon(shape) for shape in shapes]
    for area in areas:
        if not area.is_valid:
            msg = f"{path}: the outline crosses or touches itself ({explain_validity(area)}); draw it as one plain line"
            raise FileError(msg)
    number = max(range(len(areas)), key=lambda place: areas[place].area)
    others = [area for place, area in enumerate(areas) if place != number]
    outside = sum(not areas[number].contains(area) for area in others)
    if outside:
        msg = f"{path}: there are {outside + 1} outlines in it; draw the blade, with its tang, as one"
        raise FileError(msg)
    notes = (say("Lines inside the outline, {} of them, are left out: holes.", len(others)),) if others else ()
    return np.asarray(shapes[number], dtype=float), notes


def understand(ring: Array, stated: Stated) -> Understood:
    """Return what a closed outline ``(n, 2)`` (mm of the drawing, y up) says of a blade."""
    ring, notes = _laid_level(ring, stated.turn)
    chains = Chains.of(ring)
    chains = _tip_to_the_right(chains, stated.tip_at, notes)
    back, tip = chains.ends
    heel = _heel(chains)
    # along the blade, a drawing's unit is so many mm
    if stated.length is None:
        scale = 1.0
    elif stated.tang is None:
        scale = stated.length / (tip - heel)
    else:
        scale = (stated.length + stated.tang) / (tip - back)
    if stated.tang is not None:
        heel = min(back + stated.tang / scale, tip - 0.1 * (tip - back))
    chains = _edge_to_the_bottom(chains, heel, stated.edge_at, notes)
    lower = cut(chains.lower, heel)[1]
    chains = chains.moved(heel, float(lower[:, 1].min()), scale)
    return _told(chains, stated, notes)


def _laid_level(ring: Array, turn: float | None) -> tuple[Array, list[Sentence]]:
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
    box = np.asarray(shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.Polygon(ring))))
    sides = np.diff(box[:3], axis=0)
    long = sides[np.argmax(np.hypot(*sides.T))]
    angle = _undirected(float(np.degrees(np.arctan2(long[1], long[0]))))
    quarter = 90.0 * round(angle / 90)
    if abs(angle - quarter) <= _LEVEL:
        return abs(quarter)
    # drawn aslant: level is the longest straight stretch of edge or spine, which stand out further than a tang
    corners = np.asarray(shapely.get_coordinates(shapely.simplify(shapely.linearrings(ring), 5e-4 * np.hypot(*long))))
    runs = np.diff(corners, axis=0)
    lengths, angles = np.hypot(*runs.T), np.degrees(np.arctan2(runs[:, 1], runs[:, 0]))
    lengths[np.abs((angles - angle + 90) % 180 - 90) > _LEVEL] = 0
    rim, off = shapely.convex_hull(shapely.linearrings(ring)).exterior, 2e-3 * np.hypot(*long)
    on_rim = shapely.distance(rim, shapely.points(corners)) < off
    lengths[~(on_rim[:-1] & on_rim[1:])] = 0
    if lengths.max() < 0.15 * np.hypot(*long):
        return angle
    return _undirected(float(angles[np.argmax(lengths)]))


def _undirected(angle: float) -> float:
    return 90 - (90 - angle) % 180


def _tip_to_the_right(chains: Chains, tip_at: TipAt | None, notes: list[Sentence]) -> Chains:
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


def _heel(chains: Chains) -> float:
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


def _edge_to_the_bottom(chains: Chains, heel: float, edge_at: EdgeAt | None, notes: list[Sentence]) -> Chains:
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
    notch = _choil(edge)
    step = 0.0
    if heel - back > 0.03 * (tip - back):
        step = float(chains.low(np.linspace(back, heel, 50)[5:-5]).mean() - edge[0, 1])
    return (max(step, 0.0) + (notch[2] if notch else 0.0)) / high


def _hull(line: Array) -> Array:
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


def _choil(edge: Array) -> tuple[float, float, float] | None:
    """Return where a notch in the edge near the heel begins and ends, and its depth; None where there is none."""
    hull, length = _hull(edge), edge[-1, 0] - edge[0, 0]
    gap = edge[:, 1] - np.interp(edge[:, 0], *hull.T)
    for begin, end in zip(hull[:-1, 0], hull[1:, 0], strict=True):
        between = np.flatnonzero((edge[:, 0] >= begin) & (edge[:, 0] <= end))
        deepest = between[np.argmax(gap[between])]
        # its mouth: the corners that a thread drawn tight from its deepest place leans on
        before, after = _hull(edge[between[0] : deepest + 1]), _hull(edge[deepest : between[-1] + 1])
        if gap[deepest] < 0.3 or min(len(before), len(after)) < 2:
            continue
        first, last = float(before[-2, 0]), float(after[1, 0])
        near = first <= edge[0, 0] + 0.4 * length
        if near and last - first <= 0.2 * length and gap[deepest] >= 0.12 * (last - first):
            return first, last, float(gap[deepest])
    return None


def _told(chains: Chains, stated: Stated, notes: list[Sentence]) -> Understood:
    """Return the outline in the blade frame with what it says in words."""
    (lower_back, edge), (upper_back, spine) = cut(chains.lower, 0.0), cut(chains.upper, 0.0)
    length, height = float(edge[-1, 0]), float(spine[:, 1].max())
    tang = -chains.ends[0]
    notes.append(say("The blade is {} from heel to tip and {} high.", mm(length, form=".1f"), mm(height, form=".1f")))
    if length < SMALLEST:
        larger = say("drawn in inches, it would be {}", mm(length * 25.4, form=".1f"))
        notes.append(say("That is small for a blade; {}: state length, or the unit in the drawing.", larger))
    elif length > LARGEST:
        notes.append(say("That is long for a blade: state length, or the unit in the drawing."))
    if length < 1.5 * height:
        notes.append(say("It is hardly longer than it is high; which way it lies is a guess: state turn."))
    has_tang = tang > 1e-6 * length
    behind = np.concatenate([upper_back[::-1], lower_back]) if has_tang else np.zeros((0, 2))
    if has_tang:
        kind = "full" if area_behind(behind) > FULL * height * tang else "hidden"
        notes.append(say("Behind the heel lies a {} tang, {} long.", kind, mm(tang, form=".1f")))
    else:
        notes.append(say("No tang is seen: all of it is blade; if some is not, state the tang's length as tang."))
    notch = _choil(edge)
    if notch is not None:
        begin, end, depth = notch
        sizes = mm(end - begin, form=".1f"), mm(depth, form=".1f")
        notes.append(say("A choil {} wide and {} deep is in the edge; it is no edge to grind.", *sizes))
    if stated.ricasso is not None:
        ricasso = min(stated.ricasso, 0.9 * length)
    elif notch is not None:
        ricasso = notch[1]
        notes.append(say("The plunge is put at the choil's front end, {} from the heel.", mm(ricasso, form=".1f")))
    else:
        ricasso = 0.0
        notes.append(say("Where the grind begins does not show: if some is left unground at the heel, state ricasso."))
    blunt = float(spine[-1, 1] - edge[-1, 1])
    if blunt > 0.3:
        notes.append(say("The tip is blunt, {} high.", mm(blunt, form=".1f")))
    if chains.overhang > 0.1:
        told = mm(chains.overhang, form=".1f")
        notes.append(say("The outline reaches back over itself by {}; that is straightened.", told))
    begin_at = notch[1] if notch else 0.0
    hull = _hull(edge)
    bevel_edge = np.concatenate([hull[hull[:, 0] < begin_at], edge[edge[:, 0] >= begin_at]])
    choil = notch[:2] if notch else None
    return Understood(edge, spine, bevel_edge, behind, ricasso, choil, tuple(notes))
