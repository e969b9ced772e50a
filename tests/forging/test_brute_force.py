"""The whole chain by brute force: markers pushed forward through the velocity fields, step by small step.

Nothing of the package's maps is used on the way: sizes and velocities are written out here from the published
spread law and from the stream function stated in `preview.forging.press_flow`, and integrated by the classical
Runge-Kutta rule.
"""

from __future__ import annotations

import numpy as np
import pytest

from preview.pipeline import fields

BITE, FRICTION = 22.0, 0.6


def spread(width: float) -> float:
    x = BITE / width
    return 0.14 + 0.36 * x - 0.054 * x**2


def runge_kutta(points: np.ndarray, velocity, span: float, steps: int) -> np.ndarray:
    h = span / steps
    for number in range(steps):
        t = number * h
        k1 = velocity(points, t)
        k2 = velocity(points + h / 2 * k1, t + h / 2)
        k3 = velocity(points + h / 2 * k2, t + h / 2)
        k4 = velocity(points + h * k3, t + h)
        points = points + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return points


def pressing(h0: float, w0: float, share: float):
    """Velocity (mm a unit of strain) between closing dies, in true coordinates."""
    mean = np.sqrt(1 - share + share**2)
    b = 0.073 + 0.115 * FRICTION

    def velocity(p: np.ndarray, strain: float) -> np.ndarray:
        h, half = h0 * np.exp(-strain), w0 / 2 * np.exp(share * strain)
        c = FRICTION * mean**1.29 * (0.861 + 1.862 * h / (2 * half) + 0.264 * FRICTION**2)
        k = np.hypot(0.03 + 0.844 * (1 - share) ** 2 / mean**2, 0.253 * c / share)
        y, zeta = np.abs(p[:, 1]), p[:, 2] / h
        t, d = np.tanh(y / (k * h)), np.tanh((half - y) / (b * h))
        dt, dd = (1 - t**2) / (k * h), -(1 - d**2) / (b * h)  # by y
        e, q = 1 - 0.681 * (1 - d), 0.207 * (1 - t**2) - 1.65 * d * (1 - d)
        de, dq = 0.681 * dd, -0.414 * t * dt - 1.65 * (1 - 2 * d) * dd
        # psi = c t (e u zeta + q (u - 0.864) u zeta) / 6, where u = 1 - 4 zeta**2
        first, second = zeta - 4 * zeta**3, 0.136 * zeta - 4.544 * zeta**3 + 16 * zeta**5
        first_slope, second_slope = 1 - 12 * zeta**2, 0.136 - 13.632 * zeta**2 + 80 * zeta**4
        along_zeta = c * t * (e * first_slope + q * second_slope) / 6
        along_y = c * (dt * (e * first + q * second) + t * (de * first + dq * second)) / 6
        across = share * p[:, 1] + h * np.sign(p[:, 1]) * along_zeta
        return np.stack([(1 - share) * p[:, 0], across, -p[:, 2] - h * h * along_y], axis=1)

    return velocity


@pytest.mark.parametrize("side", ["right", "left"])
def test_markers_land_where_fields_says_they_came_from(make, side):
    length, width, height, density = 70.0, 28.0, 44.0, 0.6
    job = make(
        can={"length": length, "width": width, "height": height, "wall": 0.0, "fill_density": density},
        forging=[
            {"step": "consolidate"},
            {"step": "press", "height": 18.0, "bite": BITE, "friction": FRICTION},
            {"step": "press", "height": 6.0, "bite": BITE, "friction": FRICTION, "repeat": 2},
            {"step": "turn", "quarters": 2},
            {"step": "trim", "faces": [0.4, 0.8], "sides": [5, 3], "ends": [4, 6]},
        ],
        blade={"thickness": 4.0, "outline": {"shape": "drop point", "length": 130, "height": 30}},
        grind={"edge": 0.4, "right": {"kind": "hollow", "height": 20, "wheel_diameter": 300}, "heel_flat": 8},
    )
    found = fields(job, px_per_mm=1.5)
    mask = found[f"{side}_mask"]
    assert mask.sum() > 5000
    blade = np.stack([found[f"{side}_{name}"][mask] for name in ("along", "across", "through")], axis=1)
    can = np.stack([found[f"{side}_{name}"][mask] for name in ("can_along", "can_across", "can_up")], axis=1)
    assert np.isfinite(can).all()
    blade, can = blade[::7], can[::7]  # all columns and rows have some

    # consolidating: the fill settles through the can at a constant logarithmic rate
    points = runge_kutta(can, lambda p, _: p * (0, 0, 1.0), np.log(density), 50)
    h, w, stretch = density * height, width, 1.0
    for target in (18.0, np.sqrt(18.0 * 6.0), 6.0):
        share, strain = spread(w), np.log(h / target)
        points = runge_kutta(points, pressing(h, w, share), strain, 100)
        h, w, stretch = target, w * np.exp(share * strain), stretch * np.exp((1 - share) * strain)
    points = points * (1, -1, -1)
    # trimming moves the middle: more comes off above and off the tip, less off the spine side
    points = points - np.array([(4 - 6) / 2, (5 - 3) / 2, (0.4 - 0.8) / 2])
    # the blade lies in the middle of the bar, the edge's baseline half its height below
    points = points + np.array([65.0, 15.0, 0.0])

    off = np.linalg.norm(points - blade, axis=1)
    assert np.sqrt(np.mean(off**2)) <= 0.01
    assert off.max() <= 0.05
