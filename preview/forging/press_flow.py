"""The law of pressing between flat tools: spread, elongation and the bulge.

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

from dataclasses import dataclass
from math import ceil, exp, log, sqrt, tanh

import numpy as np

from preview.base.arrays import Array
from preview.forging.quarter_turns import turned

STRAIN_STEP = 0.03
"""Largest strain of one midpoint step; halving it moves no point by more than 2e-4 of the height."""

SWEEPS_END = 100.0
"""Change (share of the height or half width) at which the sweeps of one midpoint step end, in the number type's own
smallest steps: 2e-14 for float64, 1e-5 for float32. One sweep more would change a hundredth of that."""

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
        enough = SWEEPS_END * float(np.finfo(half_eta.dtype).eps)
        for strain in strains[::-1] if backwards else strains:
            # the implicit midpoint rule, solved by fixed-point sweeps from the step before; each gains two digits
            for _ in range(60):
                rate_eta, rate_zeta = self._rates(eta + half_eta, zeta + half_zeta, float(strain))
                new_eta, new_zeta = rate_eta * (step / 2), rate_zeta * (step / 2)
                change = max(_largest(new_eta - half_eta), _largest(new_zeta - half_zeta))
                half_eta, half_zeta = new_eta, new_zeta
                if change < enough:
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
        profile = force * (centre - _EDGE_SHARE * (tanh(half_width / (_EDGE * height)) - edge))
        slope = force * ((1 - centre**2) / _CENTRE - _EDGE_SHARE * (1 - edge**2) / _EDGE) / height
        # an earlier bulge may stand proud of the dies: beyond them the flow goes on at the skin's shear
        inside = np.clip(zeta, -0.5, 0.5)
        stream = (inside - 4 * inside**3) / 6 - (zeta - inside) / 3
        shear = (1 - 12 * inside**2) / 6
        return height / half_width * np.sign(eta) * profile * shear, -height * slope * stream


def _largest(values: Array) -> float:
    """Return the largest size among ``values``, NaN left out; 0 where there is none."""
    return float(np.fmax.reduce(np.abs(values), axis=None, initial=0.0))
