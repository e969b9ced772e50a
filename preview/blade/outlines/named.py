"""Outlines that have a trade name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.limits import Limit
from preview.base.settings import Control, NonNegativeLength, PositiveLength
from preview.blade.outlines.base import Outline


@dataclass(frozen=True)
class _Form:
    """Shares that make an outline: tip height of the height; belly and point of the length; spine's bend."""

    tip: float
    belly: float
    point: float
    bend: float  # +1: the spine drops ever faster towards the tip; less than 0: ever slower (a clip); 0: not at all


FORMS: dict[str, _Form] = {
    "drop point": _Form(tip=0.7, belly=0.5, point=0.5, bend=1.0),
    "clip point": _Form(tip=0.42, belly=0.4, point=0.4, bend=-0.4),
    "spear": _Form(tip=0.5, belly=0.4, point=0.4, bend=1.0),
    "sheepsfoot": _Form(tip=0.0, belly=0.3, point=0.22, bend=1.0),
    "straight back": _Form(tip=1.0, belly=0.5, point=0.3, bend=0.0),
}
"""Every trade name there is; the shares are our own drawing of it (common practice, no published source)."""

if TYPE_CHECKING:
    _Name = str
else:
    _Name = Literal[tuple(FORMS)]

_TURN = 0.12
"""Share of a clip over which the spine turns into it, in one smooth curve; our own choice."""

_HIDDEN = 0.4
"""Height of a hidden tang, in shares of the blade's; our own choice."""

_ROUND = 0.5
"""Radius of a tang's corners at its end, in shares of half its height; our own choice."""

_STEADY = 0.3
"""Least share of a full step that Newton's method may need; below it another foot may be near."""


class NamedOutline(Outline):
    """A blade outline by its trade name.

    ``belly`` is the length of edge that curves up to the tip, ``point`` the length of spine that comes down
    to it; both have a usual share of the length where they are left out. ``choil`` is the radius of a round notch
    that ends where the ricasso does; a tang ``tang_height`` high (left out, a hidden one) stands behind the heel,
    ``tang_rise`` above its middle.
    """

    shape: Annotated[_Name, Control("Outline", help="The profile, by its trade name.")] = "drop point"
    belly: Annotated[
        PositiveLength | None,
        Control(
            "Belly", "mm", "Length of edge that curves up to the tip.", least=1.0, step=1.0, offer="A belly of its own",
            start=90.0,
        ),
    ] = None  # fmt: skip
    point: Annotated[
        PositiveLength | None,
        Control(
            "Point", "mm", "Length of spine that comes down to the tip.", least=1.0, step=1.0, offer="Another point",
            start=80.0,
        ),
    ] = None  # fmt: skip
    ricasso: Annotated[
        NonNegativeLength,
        Control("Ricasso", "mm", "Length at the heel that is left unground.", least=0.0, step=1.0),
    ] = 0.0
    choil: Annotated[
        NonNegativeLength,
        Control("Choil", "mm", "Radius of the notch in the edge before the grind begins.", least=0.0, step=0.5),
    ] = 0.0
    tang: Annotated[NonNegativeLength, Control("Tang", "mm", "Length behind the heel.", least=0.0, step=1.0)] = 0.0
    tang_height: Annotated[
        PositiveLength | None,
        Control(
            "Tang height", "mm", "As high as the blade at the heel: a full tang.", least=1.0, step=1.0,
            offer="Another height of the tang", start=14.0,
        ),
    ] = None  # fmt: skip
    tang_rise: Annotated[
        NonNegativeLength,
        Control("Tang's rise", "mm", "How far its middle is above the heel's: nearer the spine.", least=0.0, step=0.5),
    ] = 0.0

    @property
    def _form(self) -> _Form:
        return FORMS[self.shape]

    @property
    def belly_length(self) -> float:
        """Length of the curved edge before the tip, in mm."""
        return min(self.belly or self._form.belly * self.length, self.length)

    @property
    def point_length(self) -> float:
        """Length of the shaped spine before the tip, in mm."""
        return min(self.point or self._form.point * self.length, self.length)

    @property
    def tip(self) -> tuple[float, float]:
        """See `Outline.tip`."""
        return (self.length, self._form.tip * self.height)

    def limits(self, room: tuple[float, float]) -> Iterator[Limit]:
        """See `Outline.limits`."""
        yield Limit("length", self.length, room[0], "this bar")
        yield Limit("height", self.height, room[1], "this bar")
        yield Limit("ricasso", self.ricasso, self.length, "this blade length", open=True)
        yield Limit("choil", self.choil, self.length / 2, "this blade length", open=True)
        if self.tang:
            yield Limit("tang_rise", self.tang_rise, self.height / 2 - self._tang_half, "this height of the tang")

    @property
    def ricasso_length(self) -> float:
        """See `Outline.ricasso_length`."""
        return max(self.ricasso, 2 * self.choil)

    @property
    def choil_span(self) -> tuple[float, float] | None:
        """See `Outline.choil_span`."""
        end = self.ricasso_length
        return (end - 2 * self.choil, end) if self.choil else None

    @property
    def _tang_half(self) -> float:
        return min(self.tang_height or _HIDDEN * self.height, self.height) / 2

    @property
    def tang_polygon(self) -> Array:
        """See `Outline.tang_polygon`."""
        if not self.tang:
            return np.zeros((0, 2))
        return _tang(self.tang, self._tang_half, self.height / 2 + self.tang_rise)

    @property
    def tang_length(self) -> float:
        """See `Outline.tang_length`."""
        return self.tang

    def edge(self, along: Array) -> Array:
        """See `Outline.edge`."""
        edge = self.bevel_edge(along)
        if self.choil:
            off = np.asarray(along) - (self.ricasso_length - self.choil)
            edge = np.maximum(edge, np.sqrt(np.maximum(self.choil**2 - off * off, 0)))
        return edge

    def bevel_edge(self, along: Array) -> Array:
        """See `Outline.bevel_edge`."""
        s = np.clip((along - self.length) / self.belly_length + 1, 0, 1)
        return np.asarray(self.tip[1] * s * s * (0.6 + 0.4 * s))

    def _edge_slopes(self, along: Array) -> tuple[Array, Array]:
        """Return the edge's first and second derivative; past the tip as at the tip."""
        s = np.clip((along - self.length) / self.belly_length + 1, 0, 1)
        rise = self.tip[1] / self.belly_length
        return rise * s * (1.2 + 1.2 * s), rise / self.belly_length * (1.2 + 2.4 * s) * (s > 0)

    def spine(self, along: Array) -> Array:
        """See `Outline.spine`."""
        s = np.clip((along - self.length) / self.point_length + 1, 0, 1)
        share = s * s if self._form.bend > 0 else _clipped(s, self._form.bend)
        return np.asarray(self.height - (self.height - self.tip[1]) * share)

    def edge_distance(self, along: Array, across: Array) -> Array:
        """See `Outline.edge_distance`; for points inside the outline.

        Where the belly is gentle, each has one foot of the perpendicular only, and Newton's method finds it.
        """
        along, across = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(across, dtype=float))
        if not _gentle(self):
            found = np.array(across)
            near = ~(along + across < self.length - self.belly_length)  # the others lie nearer to the straight edge
            found[near] = super().edge_distance(along[near], across[near])
            return found
        foot = np.array(along)
        for _ in range(12):
            gap = self.bevel_edge(foot) - across
            slope, bend = self._edge_slopes(foot)
            curvature = np.maximum(1 + slope * slope + gap * bend, _STEADY)
            step = (foot - along + gap * slope) / curvature
            foot = np.clip(foot - step, 0, self.length)
            if np.fmax.reduce(np.abs(step), axis=None, initial=0.0) < 1e-9:
                break
        return np.asarray(np.hypot(foot - along, self.bevel_edge(foot) - across))


def _clipped(s: Array, bend: float) -> Array:
    """Return how far a clip is down at shares ``s`` of it: its slope grows until turned, then falls by ``bend``."""
    steepest = 1 / (_TURN / 2 + (1 + bend / 2) * (1 - _TURN))
    on = np.maximum(s - _TURN, 0)
    turned = np.minimum(s, _TURN)
    return np.asarray(steepest * (turned * turned / (2 * _TURN) + on + bend * on * on / (2 * (1 - _TURN))))


@kept
def _tang(long: float, half: float, middle: float) -> Array:
    """Return a tang as `Outline.tang_polygon` has it, ``long``, twice ``half`` high about ``middle``, mm; kept."""
    turn = np.radians(np.linspace(0, 90, 16))
    round_end = min(_ROUND * half, long)
    upper = np.stack([round_end * (1 - np.sin(turn)) - long, middle + half + round_end * (np.cos(turn) - 1)], axis=1)
    lower = upper[::-1] * (1, -1) + (0, 2 * middle)
    return np.concatenate([[(0.0, middle + half)], upper, lower, [(0.0, middle - half)]])


@kept
def _gentle(outline: NamedOutline) -> bool:
    """Say whether no point under the spine's height can see more than one foot of a perpendicular on the edge."""
    along = outline.length - outline.belly_length * np.linspace(1, 0, 400)[1:]
    slope, bend = outline._edge_slopes(along)
    return bool((1 + slope * slope + (outline.bevel_edge(along) - outline.height) * bend > _STEADY).all())
