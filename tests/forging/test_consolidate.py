"""Consolidation against the published densification relation, and densities of powders and alloys."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from preview.forging.bar import Can
from preview.forging.steps.consolidate import Consolidate, Shares
from preview.pattern.powders import NICKEL, PLAIN, Powder


def upset(density: float, reduction: float, exponent: float = 2.0) -> tuple[float, float]:
    """Free upsetting of porous metal: density and area ratio at height ratio ``reduction`` = h0/h.

    Kuhn & Downey, Int. J. Powder Metall. 7 (1971) 15-25: Poisson's ratio 0.5 r**a, with a = 2 hot (from memory);
    hence dr/de = r (1 - r**a), integrated here numerically.
    """
    strain = np.log(reduction)
    solution = solve_ivp(lambda _, r: r * (1 - r**exponent), (0, strain), [density], rtol=1e-10, atol=1e-12)
    final = float(solution.y[0, -1])
    return final, density / final * reduction


@pytest.mark.parametrize(
    ("density", "reduction", "final", "side"),
    [(0.55, 2, 0.7965, 1.1752), (0.60, 1.5, 0.7474, 1.0973), (0.60, 2, 0.8321, 1.2009), (0.65, 2, 0.8633, 1.2271)],
)
def test_the_relation_itself(density, reduction, final, side):
    found, area = upset(density, reduction)
    assert found == pytest.approx(final, abs=1e-4)
    assert np.sqrt(area) == pytest.approx(side, abs=1e-4)


@pytest.mark.parametrize("density", [0.55, 0.6, 0.65])
def test_volume_is_the_relations_limit(density):
    """Pressed on and on, the free compact comes to density 1 and the volume the step gives at once."""
    final, area = upset(density, 400.0)
    assert final == pytest.approx(1.0, abs=1e-4)
    step, bar = Consolidate(), Can(fill_density=density).bar()
    ratio = float(step.volume_ratio(np.zeros((1, 3)), bar)[0])
    assert area / 400.0 == pytest.approx(ratio, rel=1e-4)
    assert step.after(bar).density == 1.0


def test_rigid_sides_are_all_through():
    """In rigid sides density is r0 h0/h: full at h = r0 h0, the step's default."""
    can = Can(length=80, width=30, height=50, wall=0, fill_density=0.6)
    assert Consolidate().after(can.bar()).size == pytest.approx((80, 30, 30))


def test_even_squeeze_shrinks_each_length_by_the_cube_root():
    can = Can(length=100, width=100, height=100, wall=0, fill_density=0.6)
    third = Shares(along=1 / 3, across=1 / 3, through=1 / 3)
    assert Consolidate(shares=third).after(can.bar()).length == pytest.approx(84.343, abs=1e-3)


def test_wall_keeps_its_thickness_and_points_on_it_their_depth():
    can = Can(length=80, width=30, height=50, wall=2, fill_density=0.6)
    bar, step = can.bar(), Consolidate()
    after = step.after(bar)
    assert after.thickness == pytest.approx(30 + 4)
    skin = np.array([[0, 0, bar.thickness / 2], [0, 0, can.height / 2]])
    assert np.ptp(step.push_forward(skin, bar)[:, 2]) == pytest.approx(2.0)


def test_density_of_the_nickel_blend():
    """Rule of mixtures: 1 / (0.96 / 7.85 + 0.04 / 8.908) g/cm3, and 3.542 per cent of nickel by volume."""
    powder = Powder(name="n", colours=("white",), nickel=4.0)
    assert powder.density == pytest.approx(7.8875, abs=1e-4)
    assert 0.04 * powder.density / 8.908 == pytest.approx(0.03542, abs=1e-5)
    assert NICKEL.density == powder.density
    assert PLAIN.density == pytest.approx(7.85, abs=0.005)
