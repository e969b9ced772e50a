"""What a closed outline says of a blade: its edge and spine, heel and tip, choil, ricasso and tang."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from preview.base.arrays import Array
from preview.base.units import Sentence, mm, say
from preview.blade.outlines.base import FULL, area_behind
from preview.blade.outlines.chains import Chains, cut
from preview.blade.outlines.choil import choil_of, lower_hull
from preview.blade.outlines.orienting import (
    EdgeAt,
    TipAt,
    edge_to_the_bottom,
    heel_of,
    laid_level,
    tip_to_the_right,
)

SMALLEST, LARGEST = 25.0, 1500.0
"""Lengths (mm) between which a drawing is taken for a blade's without a word."""


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


def understand(ring: Array, stated: Stated) -> Understood:
    """Return what a closed outline ``(n, 2)`` (mm of the drawing, y up) says of a blade."""
    ring, notes = laid_level(ring, stated.turn)
    chains = Chains.of(ring)
    chains = tip_to_the_right(chains, stated.tip_at, notes)
    back, tip = chains.ends
    heel = heel_of(chains)
    # along the blade, a drawing's unit is so many mm
    if stated.length is None:
        scale = 1.0
    elif stated.tang is None:
        scale = stated.length / (tip - heel)
    else:
        scale = (stated.length + stated.tang) / (tip - back)
    if stated.tang is not None:
        heel = min(back + stated.tang / scale, tip - 0.1 * (tip - back))
    chains = edge_to_the_bottom(chains, heel, stated.edge_at, notes)
    lower = cut(chains.lower, heel)[1]
    chains = chains.moved(heel, float(lower[:, 1].min()), scale)
    return _told(chains, stated, notes)


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
    notch = choil_of(edge)
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
    hull = lower_hull(edge)
    bevel_edge = np.concatenate([hull[hull[:, 0] < begin_at], edge[edge[:, 0] >= begin_at]])
    choil = notch[:2] if notch else None
    return Understood(edge, spine, bevel_edge, behind, ricasso, choil, tuple(notes))
