"""Kinds of powder against what handbooks, standards and the packing of spheres say."""

from __future__ import annotations

import re

import pytest

from preview.forging.bar import RANDOM_PACKING, Can
from preview.pattern.powder_kinds import POWDER_KINDS, UNKNOWN
from preview.pattern.powders import STEEL_DENSITY, Powder

SIEVES = {60: 0.250, 100: 0.150, 325: 0.045}
"""Openings in mm of the sieves of ASTM E11 (from memory)."""

HANDBOOK = {"gas": (4.4, 5.1), "water": (3.5, 4.3)}
"""Tap density of steel powder, g/cm3, in all the usual meshes (powder handbooks, from memory)."""


def test_nothing_packs_denser_than_random_spheres():
    """Jodrey & Tory, "Computer simulation of close random packing of equal spheres" (Phys. Rev. A 32 (1985) 2347;
    abstract): 0.642 to 0.649; the closest packing of all, pi / sqrt(18) = 0.74, is no powder's.
    """
    assert RANDOM_PACKING == pytest.approx(0.645, abs=0.006)
    assert all(0 <= least < most <= RANDOM_PACKING for least, most in POWDER_KINDS.values())
    assert Can.control("fill_density").most == RANDOM_PACKING


@pytest.mark.parametrize("kind", [kind for kind in POWDER_KINDS if kind != UNKNOWN])
def test_a_kind_names_how_it_was_made_and_its_sieves(kind):
    made, meshes = re.fullmatch(r"(gas|water)-atomised, ((?:[+-]\d+ )+)mesh", kind).groups()
    sizes = [SIEVES[abs(int(mesh))] for mesh in meshes.split()]
    assert sizes == sorted(sizes, reverse=True)
    least, most = (share * STEEL_DENSITY for share in POWDER_KINDS[kind])
    assert HANDBOOK[made][0] - 0.05 <= least < most <= HANDBOOK[made][1]


def test_what_is_measured_stands_before_what_is_usual():
    usual = Powder(name="a", colours=("black",), nickel=0, kind="gas-atomised, -325 mesh")
    assert usual.usual_tap == pytest.approx((0.56 + 0.62) / 2 * 7.85)
    assert usual.model_copy(update={"tap_density": 4.2}).usual_tap == 4.2
    assert Powder(name="a", colours=("black",), nickel=0).usual_tap is None
