"""What a grind means in use: against a wedge reckoned by hand, and a blade weighed by its outline's area."""

from __future__ import annotations

from math import radians, tan

import numpy as np
import pytest

from preview.base.units import METRIC, Units
from preview.sheets.in_use_words import MUCH_ALIKE, THICKER, THINNER, in_use_table, in_use_words, thick_behind, weight


def ground_at(job, angle):
    right = job.grind.right.model_copy(update={"angle": angle})
    return job.model_copy(update={"grind": job.grind.model_copy(update={"right": right, "left": None})})


def test_a_wedge_is_as_thick_as_its_angle_says(job):
    """Half the edge's thickness and the tangent of the angle, on each side, where the stones do not reach."""
    (angle,) = {job.ground.mid_grind("right", job.grind.right)[1]}
    assert thick_behind(job)[1] == pytest.approx(job.grind.edge + 2 * 5 * tan(radians(angle)), abs=0.02)


@pytest.mark.parametrize(("angle", "told"), [(4.0, THINNER), (8.0, THICKER), (6.0, MUCH_ALIKE)])
def test_a_lower_grind_is_told_to_be_sturdier_and_a_higher_one_to_cut_with_less_force(job, angle, told):
    assert in_use_words(ground_at(job, angle), job) == told


def test_inches_are_as_fine_as_a_blade_is_thin(job):
    rows = in_use_table((job, job), Units(sizes="inch", places=2))
    told = [each.replace("\u00a0", " ") for each in rows[1]]
    assert told == ["Thick 0.20 in behind the edge", *[f"{thick_behind(job)[1] / 25.4:.3f} in"] * 2]


def test_the_table_tells_both_slopes_where_they_differ(job):
    left = job.grind.right.model_copy(update={"angle": 8.0})
    other = job.model_copy(update={"grind": job.grind.model_copy(update={"left": left})})
    assert in_use_table((job, other), METRIC)[2] == ("Slope of each face", "6.0°", "6.0°, 8.0°")


def test_a_blade_weighs_less_than_its_unground_outline_and_more_than_half_of_it(job):
    """Area by the trapezoidal rule, times thickness, times 7.85 g/cm³ (density of carbon steel, handbook value)."""
    outline = job.blade.outline
    along = np.linspace(0, outline.length, 400)
    area = np.trapezoid(outline.spine(along) - outline.edge(along), along)
    plate = area * float(job.ground.unground(np.zeros(1))[0]) * 7.85e-3
    flat = ground_at(job, 40.0)  # next to nothing is ground
    assert 0.5 * plate < weight(job) < plate
    assert weight(flat) == pytest.approx(plate, rel=0.05)
