"""Another flow law than the project's: the same stream function with a plainer drag of the dies.

It was fitted to pressings of spread share 0.5 to 1, and stands here for a forge that does not keep to the law the
project reckons with.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt, tanh

import numpy as np
from numpy.typing import NDArray

from preview.forging.press_flow import Pass

Array = NDArray[np.floating]


@dataclass(frozen=True)
class AnotherPass(Pass):
    """One closing of the dies, `Pass` by the other law."""

    def _rates(self, eta: Array, zeta: Array, strain: float) -> tuple[Array, Array]:
        height, half_width = self.h0 * exp(-strain), self.w0 / 2 * exp(self.spread * strain)
        force = 1.463 * self.friction * sqrt((1 + self.spread**2 + (1 - self.spread) ** 2) / 2) ** 2.715
        y = np.abs(eta) * half_width
        centre, edge = np.tanh(y / (0.271 * height)), np.tanh((half_width - y) / (0.061 * height))
        # counted from its value on the mid-line, so that it is odd without a jump in the narrowest bars
        profile = force * (centre - 0.513 * (tanh(half_width / (0.061 * height)) - edge))
        slope = force * ((1 - centre**2) / 0.271 - 0.513 * (1 - edge**2) / 0.061) / height
        inside = np.clip(zeta, -0.5, 0.5)
        stream = (inside - 4 * inside**3) / 6 - (zeta - inside) / 3
        shear = (1 - 12 * inside**2) / 6
        return height / half_width * np.sign(eta) * profile * shear, -height * slope * stream
