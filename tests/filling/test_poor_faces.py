"""How deep the ground faces are short of carbon, by the bar's own depth and what is ground off."""

from __future__ import annotations

import numpy as np
import pytest

from preview.filling.budget import weigh
from preview.filling.budget_words import budget_text
from preview.filling.poor_faces import poor_faces
from preview.forging.carbon import carbon_skin

WELD = {"step": "consolidate", "heat": {"temperature": 1180, "minutes": 45}}
PRESS = {"step": "press", "height": 6.5, "bite": 20}
MILL = {"step": "trim", "faces": 0.3, "sides": 5, "ends": 8}
FLAT = {"right": {"height": 8}, "left": {"kind": "none"}}


@pytest.mark.parametrize("thickness", [5.9, 5.4, 2.5])
def test_an_unground_blade_is_the_bar_less_what_is_milled(make, thickness):
    """Its left face, over the bar's middle line, where the skin is deepest."""
    blade = {"thickness": thickness, "outline": {"length": 150, "height": 30}}
    job = make(forging=[WELD, PRESS, MILL], blade=blade, grind=FLAT)
    left = carbon_skin(job.history).left
    assert left > 0.4
    assert poor_faces(job) == pytest.approx(max(left - (5.9 - thickness) / 2, 0), abs=0.03)
    told = budget_text(job, weigh(job, bead=0))
    assert ("none stays on the blade" in told) == (thickness == 2.5)
    assert (f"milling takes 0.30 mm; grinding takes the other {left:.2f} mm, and none stays" in told) == (
        thickness == 2.5
    )


def test_a_bevel_grinds_it_away(make):
    """A bevel over all of the blade stands under the skin everywhere but at the spine, off the bar's middle."""
    blade = {"thickness": 5.4, "outline": {"length": 150, "height": 30}}
    job = make(forging=[WELD, PRESS, MILL], blade=blade, grind={"right": {"height": 29}})
    unground = job.model_copy(update={"grind": make(grind=FLAT).grind})
    assert poor_faces(job) < poor_faces(unground) - 0.1


def test_what_the_fire_took_counts_from_the_face(make):
    """Hot after the last milling, the joint gone: 90 % of its carbon is left at 1.163 x 2 sqrt(D t) under an open skin.

    By hand with D from 0.1 to 0.9 % carbon at 950 °C, 11e-6 to 29e-6 mm2/s, for 600 s.
    """
    again = {"step": "press", "height": 2.9, "heat": {"temperature": 950, "minutes": 10}}
    blade = {"thickness": 2.7, "outline": {"length": 150, "height": 30}}
    job = make(forging=[WELD, PRESS, {**MILL, "faces": 1.7}, again], blade=blade, grind=FLAT)
    skin = carbon_skin(job.history)
    least, most = (2 * 1.163 * np.sqrt(each * 600) for each in (11e-6, 29e-6))
    assert least < skin.left * 3.1 / 2.9 + 0.05 < most + 0.1
    assert poor_faces(job) == pytest.approx(skin.left - 0.1, abs=0.03)


def test_scale_that_eats_through_the_wall_is_told(make):
    """The fire takes 0.5 x 0.65 mm in the weld's 45 min at 1180 °C: all of a wall of 0.3, two thirds of one of 0.5."""
    blade = {"thickness": 4.5, "outline": {"length": 140, "height": 30}}

    def notes(wall: float, **heat) -> list[tuple[str, str]]:
        weld = {**WELD, "heat": {**WELD["heat"], **heat}}
        can = {"length": 75, "width": 26, "height": 44, "wall": wall}
        found = weigh(make(can=can, forging=[weld, PRESS, MILL], blade=blade), bead=0)
        return [(each.about, str(each.words)) for each in found.remarks]

    assert any(about == "step 1" and "eats through the can's wall" in words for about, words in notes(0.3))
    assert any("Scale takes 65% of the can's wall" in words for _, words in notes(0.5))
    assert not any("can's wall" in words for _, words in notes(2.5) + notes(0.3, protected=True))
