"""Pressing between flat tools: spread, elongation and the bulge.

Spread follows the published law for flat tools (Tomlinson & Stringer, J. Iron Steel Inst. 193 (1959) 157-162,
quoted from memory): of the strain eps = ln(h0/h1), the share S goes to width, the rest to length, with
S = 0.14 + 0.36 x - 0.054 x**2 and x = bite / width.

The bulge on top of it is a closed flow law fitted once, for this project, to 40 rigid-viscoplastic
finite-element pressings (width over height 0.5 to 4, friction factor 0.2 to 1); `tests/forging/test_press_flow.py`
repeats one of them. With eta = across / half width, zeta = through / height, one stream function
F(across) (zeta - 4 zeta**3) / 6 gives

    d eta/d eps  =  (h / half width) F (1 - 12 zeta**2) / 6
    d zeta/d eps = -h dF/d across (zeta - 4 zeta**3) / 6
    F = c {tanh(y / (0.271 h)) - 0.513 [1 - tanh((half width - y) / (0.061 h))]},   y >= 0, odd in y
    c = 1.463 m_f sS**2.715,   sS = sqrt((1 + S**2 + (1 - S)**2) / 2)

stepped by the implicit midpoint rule: it keeps area exactly and its inverse is the same rule backwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, exp, log, prod, sqrt
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.settings import Count, Number, PositiveLength, Share, Switch
from preview.forging.bar import Bar
from preview.forging.steps.base import PrismaticStep, refuse_loose, refuse_shaped
from preview.forging.steps.turn import turned

DEFAULT_BITE = 25.0
"""Bite (mm) where neither spread, bite nor measured width is given: a narrow press die."""

DEFAULT_FRICTION = 0.7
"""Friction factor where neither the step nor a calibration gives one."""

STRAIN_STEP = 0.03
"""Largest strain of one midpoint step; halving it moves no point by more than 2e-4 of the height."""

SWEEP_TOLERANCE = 2e-14
"""Change (share of the height or half width) at which the sweeps of one midpoint step end."""

_LARGEST_LAW_BITE = 10 / 3
_CENTRE, _EDGE_SHARE, _EDGE = 0.271, 0.513, 0.061


def spread_share(bite: float, width: float) -> float:
    """Return S, the share of the pressing strain that goes to width, from bite and width in mm.

    The law's parabola has its top at bite = 10/3 of the width; beyond it S is held there.

    Examples
    --------
    >>> round(spread_share(20.0, 25.0), 5)
    0.39344
    """
    x = min(bite / width, _LARGEST_LAW_BITE)
    return 0.14 + 0.36 * x - 0.054 * x * x


@dataclass(frozen=True)
class Pass:
    """One closing of the dies: height ``h0`` to ``h1``, width ``w0`` (mm), spread share and friction factor."""

    h0: float
    h1: float
    w0: float
    spread: float
    friction: float
    on_edge: bool = False

    @property
    def strain(self) -> float:
        """Logarithmic strain in height."""
        return log(self.h0 / self.h1)

    @property
    def width_after(self) -> float:
        """Mean width after the pass, in mm."""
        return self.w0 * exp(self.spread * self.strain)

    @property
    def stretch(self) -> float:
        """Length after over length before."""
        return exp((1 - self.spread) * self.strain)

    def forward(self, across: Array, through: Array) -> tuple[Array, Array]:
        """Carry section points (mm) through the pass; the press closes along ``through``, or on edge."""
        quarters = int(self.on_edge)
        across, through = turned(across, through, quarters)
        eta, zeta = self._flow(across / (self.w0 / 2), through / self.h0, backwards=False)
        return turned(eta * (self.width_after / 2), zeta * self.h1, -quarters)

    def back(self, across: Array, through: Array) -> tuple[Array, Array]:
        """Undo `forward`."""
        quarters = int(self.on_edge)
        across, through = turned(across, through, quarters)
        eta, zeta = self._flow(across / (self.width_after / 2), through / self.h1, backwards=True)
        return turned(eta * (self.w0 / 2), zeta * self.h0, -quarters)

    def _flow(self, eta: Array, zeta: Array, *, backwards: bool) -> tuple[Array, Array]:
        if self.friction == 0:
            return eta, zeta
        steps = max(4, ceil(self.strain / STRAIN_STEP))
        step = (-1 if backwards else 1) * self.strain / steps
        strains = (np.arange(steps) + 0.5) * abs(step)
        eta, zeta = np.broadcast_arrays(eta, zeta)
        half_eta, half_zeta = np.zeros_like(eta), np.zeros_like(zeta)
        for strain in strains[::-1] if backwards else strains:
            # the implicit midpoint rule, solved by fixed-point sweeps from the step before; each gains two digits
            for _ in range(60):
                rate_eta, rate_zeta = self._rates(eta + half_eta, zeta + half_zeta, float(strain))
                new_eta, new_zeta = rate_eta * (step / 2), rate_zeta * (step / 2)
                change = max(_largest(new_eta - half_eta), _largest(new_zeta - half_zeta))
                half_eta, half_zeta = new_eta, new_zeta
                if change < SWEEP_TOLERANCE:
                    break
            eta, zeta = eta + 2 * half_eta, zeta + 2 * half_zeta
        return eta, zeta

    def _rates(self, eta: Array, zeta: Array, strain: float) -> tuple[Array, Array]:
        height = self.h0 * exp(-strain)
        half_width = self.w0 / 2 * exp(self.spread * strain)
        force = 1.463 * self.friction * sqrt((1 + self.spread**2 + (1 - self.spread) ** 2) / 2) ** 2.715
        y = np.abs(eta) * half_width
        centre = np.tanh(y / (_CENTRE * height))
        edge = np.tanh((half_width - y) / (_EDGE * height))
        # counted from its value on the mid-line, so that F is odd without a jump in the narrowest bars
        profile = force * (centre - _EDGE_SHARE * (np.tanh(half_width / (_EDGE * height)) - edge))
        slope = force * ((1 - centre**2) / _CENTRE - _EDGE_SHARE * (1 - edge**2) / _EDGE) / height
        # an earlier bulge may stand proud of the dies: beyond them the flow goes on at the skin's shear
        inside = np.clip(zeta, -0.5, 0.5)
        stream = (inside - 4 * inside**3) / 6 - (zeta - inside) / 3
        shear = (1 - 12 * inside**2) / 6
        return height / half_width * np.sign(eta) * profile * shear, -height * slope * stream


def _largest(values: Array) -> float:
    """Return the largest size among ``values``, NaN left out; 0 where there is none."""
    return float(np.fmax.reduce(np.abs(values), axis=None, initial=0.0))


class Press(PrismaticStep):
    """Squeeze the bar between flat dies down to ``height``.

    How much of it goes to width is one of ``spread`` (S itself), ``width`` (a measured width after the
    step) or ``bite`` (die width or feed along the bar, by the published law; 25 mm where nothing is given).
    ``spread_factor`` is the forge's own spread over the law's. ``friction`` is the friction factor m_f, 0 for
    none to 1 for sticking; dry or scaled hot steel has 0.6 to 1, graphite or glass 0.2 to 0.4 (from memory);
    left out, it is the calibration's, or 0.7. ``repeat`` passes reach the height in equal strains. With
    ``turn_between`` the bar is rolled a quarter turn and back between passes, so that pairs of passes
    bring thickness and width down together, towards a square of ``height``.
    """

    step: Literal["press"] = "press"
    height: PositiveLength
    spread: Share | None = None
    bite: PositiveLength | None = None
    width: PositiveLength | None = None
    friction: Share | None = None
    spread_factor: Annotated[Number, Field(gt=0, le=3)] = 1.0
    repeat: Annotated[Count, Field(ge=1, le=60)] = 1
    turn_between: Switch = False

    @model_validator(mode="after")
    def _one_rule(self) -> Self:
        given = [name for name in ("spread", "bite", "width") if getattr(self, name) is not None]
        if len(given) > 1:
            msg = f"spread, bite and width are three ways to say one thing; one is needed, given {', '.join(given)}"
            raise ValueError(msg)
        if self.turn_between and self.repeat % 2:
            msg = f"with turn_between the passes go in pairs; repeat has to be even, given {self.repeat}"
            raise ValueError(msg)
        if self.turn_between and self.width is not None:
            msg = "a measured width says nothing where the bar is turned between passes; give spread or bite"
            raise ValueError(msg)
        return self

    def passes(self, before: Bar) -> Iterator[Pass]:
        """Yield the single passes that make up this step, in the order they are done."""
        width, thickness = before.width, before.thickness
        rounds = self.repeat // 2 if self.turn_between else self.repeat
        for number in range(1, rounds + 1):
            share = number / rounds
            flat = self._pass(thickness, before.thickness * (self.height / before.thickness) ** share, width, before)
            width, thickness = flat.width_after, flat.h1
            yield flat
            if self.turn_between:
                edge = self._pass(width, before.width * (self.height / before.width) ** share, thickness, before)
                thickness, width = edge.width_after, edge.h1
                yield replace(edge, on_edge=True)

    def _pass(self, h0: float, h1: float, w0: float, before: Bar) -> Pass:
        if self.spread is not None:
            spread = self.spread
        elif self.width is not None:
            spread = log(self.width / before.width) / log(before.thickness / self.height)
        else:
            spread = min(self.spread_factor * spread_share(self.bite or DEFAULT_BITE, w0), 1.0)
        return Pass(h0, h1, w0, spread, self._friction)

    @property
    def _friction(self) -> float:
        return DEFAULT_FRICTION if self.friction is None else self.friction

    def after(self, before: Bar) -> Bar:
        """See `Step.after`; of a bulged bar the width is the mean one."""
        refuse_loose("press", before)
        refuse_shaped("press", before, "wedge", "tapered")
        limits = {"thick": before.thickness} | ({"wide": before.width} if self.turn_between else {})
        for word, size in limits.items():
            if self.height >= size:
                msg = (
                    f"has to be under {size:.4g} mm, as the bar is that {word} before this press; given {self.height:g}"
                )
                raise JobError.at("height", msg)
        if self.width is not None:
            widest = before.width * before.thickness / self.height
            if not before.width <= self.width <= widest:
                msg = (
                    f"has to lie between {before.width:.4g} mm (no spread) and {widest:.4g} mm (no elongation); "
                    f"given {self.width:g}"
                )
                raise JobError.at("width", msg)
        length, width, thickness = before.size
        for each in self.passes(before):
            length *= each.stretch
            width, thickness = (each.h1, each.width_after) if each.on_edge else (each.width_after, each.h1)
        shape = before.shape if self._friction == 0 else "bulged"
        return replace(before, length=length, width=width, thickness=thickness, shape=shape)

    def along_forward(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_forward`."""
        return np.asarray(along * prod(each.stretch for each in self.passes(before)))

    def along_back(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_back`."""
        return np.asarray(along / prod(each.stretch for each in self.passes(before)))

    def section_forward(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_forward`."""
        for each in self.passes(before):
            across, through = each.forward(across, through)
        return across, through

    def section_back(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_back`."""
        for each in reversed(tuple(self.passes(before))):
            across, through = each.back(across, through)
        return across, through
