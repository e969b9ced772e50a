"""A bar's section pressed between flat dies, by finite elements: independent of the project's flow law.

Rigid-viscoplastic, incompressible metal (Norton-Hoff: flow stress ~ strain rate ** m) fills the quarter section
0 <= y, 0 <= z <= h/2. The die closes at a unit logarithmic rate; the bar lengthens at the uniform rate 1 - S, so
that div v = -(1 - S) in the section. On the die acts friction of m_f times the shear yield stress at the
nominal rate (Tresca), regularised near zero slip. The free side moves with the metal and folds onto the die.

Governing equations (e.g. Hughes, The Finite Element Method, ch. 4, for the mixed form): find v, p with

    int 2 mu e(v):e(w) - int p div w + int_die m_f k v_y / sqrt(v_y**2 + v0**2) w_y = 0,   int q (div v + 1 - S) = 0

Taylor-Hood elements (Q2 velocity, Q1 pressure), Newton's method on the viscosity and on the friction. There is no
memory in the material, so the mesh is laid anew into the current outline at each half step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import bmat
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad1,
    ElementQuad2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)
from skfem.helpers import ddot, div, sym_grad

Array = NDArray[np.float64]

RATE_EXPONENT = 0.17
SLIPS = (0.3, 0.05, 0.01)
"""Regularising slip speeds, in half heights a unit of strain: Newton's method goes from the first to the last."""

SMALLEST_RATE = 1e-3


class Pressing:
    """A section of half width and half height (mm) under a die, with markers carried along.

    Parameters
    ----------
    half_width, half_height
        Of the rectangular start section, mm.
    spread
        S: share of the strain that goes to width.
    friction
        m_f, 0 to 1.
    columns, rows
        Elements across the half width and the half height.
    """

    def __init__(
        self, half_width: float, half_height: float, spread: float, friction: float, columns: int = 16, rows: int = 10
    ) -> None:
        self.half_height = half_height
        self.spread, self.friction = spread, friction
        self.columns, self.rows = columns, rows
        z = np.linspace(0, half_height, 41)
        self.side = np.stack([np.full_like(z, half_width), z])
        self._last: tuple[Array, Array] | None = None

    def _mesh(self) -> MeshQuad:
        """Lay a mesh into the current outline: rows denser towards the die, columns towards the side."""
        s = np.linspace(0, 1, self.columns + 1)
        s = 0.45 * s + 0.55 * np.sin(np.pi / 2 * s)
        t = np.linspace(0, 1, self.rows + 1)
        t = 0.6 * t + 0.4 * np.sin(np.pi / 2 * t)
        mesh = MeshQuad.init_tensor(s, t)
        z = mesh.p[1] * self.half_height
        width = np.interp(z, self.side[1], self.side[0])
        return MeshQuad(np.stack([mesh.p[0] * width, z]), mesh.t)

    def velocity(self) -> tuple[Basis, Array]:
        """Solve for the velocity in the current outline: basis and degrees of freedom."""
        mesh = self._mesh()
        height = self.half_height
        basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)
        pressure = basis.with_element(ElementQuad1())
        die = FacetBasis(
            mesh, basis.elem, facets=mesh.facets_satisfying(lambda x: np.abs(x[1] - height) < 1e-9 * height)
        )
        stretch = 1 - self.spread
        nominal = np.sqrt(2 / 3 * (1 + self.spread**2 + stretch**2))
        shear_yield = nominal**RATE_EXPONENT / np.sqrt(3)
        m, friction = RATE_EXPONENT, self.friction

        def rate(e: Array) -> Array:
            return np.sqrt(2 / 3 * (ddot(e, e) + stretch**2) + SMALLEST_RATE**2)

        @BilinearForm
        def stiffness(u, w, state):  # type: ignore[no-untyped-def]
            e = sym_grad(state["old"])
            r = rate(e)
            mu = r ** (m - 1) / 3
            slope = (m - 1) * r ** (m - 3) / 3 * 2 / 3
            return 2 * mu * ddot(sym_grad(u), sym_grad(w)) + 2 * slope * ddot(e, sym_grad(u)) * ddot(e, sym_grad(w))

        @LinearForm
        def stress(w, state):  # type: ignore[no-untyped-def]
            e = sym_grad(state["old"])
            return 2 * rate(e) ** (m - 1) / 3 * ddot(e, sym_grad(w))

        @BilinearForm
        def drag_slope(u, w, state):  # type: ignore[no-untyped-def]
            slip, v0 = state["old"][0], state["v0"]
            return friction * shear_yield * v0**2 / (slip**2 + v0**2) ** 1.5 * u[0] * w[0]

        @LinearForm
        def drag(w, state):  # type: ignore[no-untyped-def]
            slip, v0 = state["old"][0], state["v0"]
            return friction * shear_yield * slip / np.sqrt(slip**2 + v0**2) * w[0]

        @BilinearForm
        def divergence(u, q, _):  # type: ignore[no-untyped-def]
            return -div(u) * q

        b = divergence.assemble(basis, pressure)
        source = LinearForm(lambda q, _: stretch * q).assemble(pressure)
        # start from the homogeneous flow; its boundary values are those of the solution
        homogeneous = basis.project(lambda x: np.stack([self.spread * x[0], -x[1]]))
        fixed = np.concatenate(
            [
                basis.get_dofs(lambda x: np.abs(x[0]) < 1e-9).all(["u^1"]),
                basis.get_dofs(lambda x: np.abs(x[1]) < 1e-9).all(["u^2"]),
                basis.get_dofs(lambda x: np.abs(x[1] - height) < 1e-9 * height).all(["u^2"]),
            ]
        )
        free = np.setdiff1d(np.arange(basis.N + pressure.N), fixed)

        def residual(v: Array, p: Array, v0: float) -> Array:
            forces = stress.assemble(basis, old=basis.interpolate(v)) + b.T @ p
            return np.concatenate([forces + drag.assemble(die, old=die.interpolate(v), v0=v0), b @ v - source])

        if self._last is None:
            v, p, slips = homogeneous, np.zeros(pressure.N), SLIPS
        else:  # the flow of half a step before is near enough to go straight to the last slip
            v, p, slips = *self._last, SLIPS[-1:]
            v[fixed[fixed < basis.N]] = homogeneous[fixed[fixed < basis.N]]
        for v0 in (slip * height for slip in slips):
            for _ in range(30):
                old, old_die = basis.interpolate(v), die.interpolate(v)
                a = stiffness.assemble(basis, old=old) + drag_slope.assemble(die, old=old_die, v0=v0)
                off = residual(v, p, v0)
                step = solve(*condense(bmat([[a, b.T], [b, None]], "csc"), -off, D=fixed))
                share, size = 1.0, np.linalg.norm(off[free])
                while share > 0.05:  # the longest step that brings the residual down
                    new_v, new_p = v + share * step[: basis.N], p + share * step[basis.N :]
                    if np.linalg.norm(residual(new_v, new_p, v0)[free]) < size:
                        break
                    share /= 2
                v, p = new_v, new_p
                change = float(np.abs(step[: basis.N]).max()) / height
                if change < 1e-4:  # what is left is of the order of its square
                    break
            else:
                msg = f"Newton's method did not converge: last change {change:.1e} at slip {v0 / height:g}"
                raise RuntimeError(msg)
        self._last = v, p
        return basis, v.copy()

    def _speed(self, solution: tuple[Basis, Array], points: Array) -> Array:
        """Return the velocity (2, n) at ``points`` (2, n), held inside the outline."""
        basis, v = solution
        rim = basis.mesh.p[:, basis.mesh.p[0] >= np.interp(basis.mesh.p[1], self.side[1], self.side[0]) - 1e-9]
        rim = rim[:, np.argsort(rim[1])]
        z = np.clip(points[1], 0, rim[1, -1] * (1 - 1e-9))
        held = np.stack([np.clip(points[0], 0, np.interp(z, rim[1], rim[0]) * (1 - 1e-7)), z])
        values = basis.probes(held) @ v
        return np.asarray(values.reshape(2, -1))

    def press(self, markers: Array, strain: float, steps: int) -> Array:
        """Close the dies by ``strain`` in midpoint steps and return where ``markers`` (2, n) have gone."""
        step = strain / steps
        for _ in range(steps):
            start_side, start_height = self.side, self.half_height
            solution = self.velocity()
            middle = markers + self._speed(solution, markers) * step / 2
            middle_side = start_side + self._speed(solution, start_side) * step / 2
            self._settle(middle_side, start_height * np.exp(-step / 2))
            solution = self.velocity()
            markers = markers + self._speed(solution, middle) * step
            moved_side = start_side + self._speed(solution, middle_side) * step
            self._settle(moved_side, start_height * np.exp(-step))
        return markers

    def _settle(self, side: Array, half_height: float) -> None:
        """Take the new side; what has come up to the die folds onto it and is contact from now on."""
        free = side[:, side[1] < half_height * (1 - 1e-9)]
        folded = side[:, side[1] >= half_height * (1 - 1e-9)]
        # the corner stands where the outline meets the die
        corner = folded[0].max() if folded.size else free[0, -1]
        outline = np.concatenate([free, [[corner], [half_height]]], axis=1)
        order = np.linspace(0, 1, 41)
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(outline, axis=1)))])
        even = order * along[-1]
        side = np.stack([np.interp(even, along, outline[0]), np.interp(even, along, outline[1])])
        side[1, 0] = 0.0
        self.side, self.half_height = side, half_height
