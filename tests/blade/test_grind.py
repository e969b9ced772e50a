"""Grind geometry against hand-worked numbers: plane trigonometry of a blade's section."""

from __future__ import annotations

import numpy as np
import pytest

from preview.blade.blade import Blade
from preview.blade.grind import Grind
from preview.blade.grinds import Compound, Convex, Flat, Hollow, Unground
from preview.blade.ground import Ground
from preview.blade.outlines import NamedOutline
from preview.face.grid import face_grid
from preview.forging.bar import Bar

BAR = Bar(220.0, 40.0, 6.0)


def lines(grind: Grind, thickness=4.0, side="right", along=(10.0, 100.0), tip=None, height=30.0):
    blade = Blade(
        outline=NamedOutline(shape="sheepsfoot", length=200, height=height), thickness=thickness, tip_thickness=tip
    )
    return Ground(blade, grind, BAR).bevel(side, np.array(along))


@pytest.mark.parametrize(("height", "angle"), [("full", 3.4336), (18.0, 5.7106)])
def test_flat_bevel(height, angle):
    """T 4, edge 0.4: atan(3.6 / 2 H) a side; slope exactly 0.06 for H 30."""
    found = lines(Grind(edge=0.4, right=Flat(height=height)))
    assert found.angle == pytest.approx([angle, angle], abs=1e-4)
    if height == "full":
        assert found.stand(np.array([10.0]))[0] == pytest.approx(0.2 + 0.06 * 10)


def test_single_bevel_takes_it_all_on_one_side():
    grind = Grind(edge=0.4, right=Flat(height=18), left=Unground())
    right, left = lines(grind), lines(grind, side="left")
    assert right.angle == pytest.approx([11.3099] * 2, abs=1e-4)
    assert right.stand(np.array([0.0]))[0] == pytest.approx(-2 + 0.4)
    assert left.stand(np.array([0.0, 9.0])) == pytest.approx([2.0, 2.0])


def test_hollow_by_its_wheel():
    """H 18, wheel 125: sag 0.32767 under the chord; full thickness 1.5447 in the middle where flat has 2.2."""
    grind = Grind(edge=0.4, right=Hollow(height=18, wheel_diameter=250))
    found = lines(grind)
    middle = 2 * found.stand(np.array([9.0]))[0]
    assert 2 * (0.2 + 0.9) == pytest.approx(2.2)
    # the sag is counted square to the chord, which leans by 5.7106 degrees
    chord_middle = np.array([9.0 + 0.32767 * np.sin(np.radians(5.7106))])
    dip = (0.2 + 0.9) - 0.32767 * np.cos(np.radians(5.7106))
    assert found.stand(chord_middle)[0] == pytest.approx(dip, abs=1e-5)
    assert middle == pytest.approx(1.5447, abs=4e-3)  # the lean of the chord counts for the rest
    assert found.stand(np.array([[0.0], [18.0], [25.0]]))[:, 0] == pytest.approx([0.2, 2.0, 2.0], abs=1e-9)


@pytest.mark.parametrize(("radius", "sag"), [(125, 0.32767), (175, 0.23390), (250, 0.16367)])
def test_sag_and_convex_are_the_same_circle(radius, sag):
    hollow = lines(Grind(right=Hollow(height=18, wheel_diameter=2 * radius)))
    convex = lines(Grind(right=Convex(height=18, sag=sag)))
    d = np.linspace(0, 18, 50)
    flat = lines(Grind(right=Flat(height=18))).stand(d[:, None])
    assert convex.fault() is None
    lean = np.cos(np.radians(5.7106))
    assert (flat - hollow.stand(d[:, None])).max() * lean == pytest.approx(sag, rel=3e-3)
    assert (convex.stand(d[:, None]) - flat).max() * lean == pytest.approx(sag, rel=3e-3)


def test_held_by_angle_the_height_falls_with_the_taper_and_the_other_way_round():
    by_angle = lines(Grind(edge=0.4, right=Flat(hold="angle", angle=5.0)), tip=2.0, along=(0.0, 200.0))
    assert by_angle.height == pytest.approx([1.8 / np.tan(np.radians(5)), 0.8 / np.tan(np.radians(5))])
    by_height = lines(Grind(edge=0.4, right=Flat(height=20)), tip=2.0, along=(0.0, 200.0))
    assert by_height.angle == pytest.approx(np.degrees(np.arctan([1.8 / 20, 0.8 / 20])))


def test_taper_angle():
    """Taper 4 to 1.5 over 200: 0.3581 degrees a side."""
    found = lines(Grind(), tip=1.5, along=(0.0, 200.0))
    assert np.degrees(np.arctan(-np.diff(found.face)[0] / 200)) == pytest.approx(0.3581, abs=1e-4)


def test_compound_by_plane_trigonometry():
    """Edge 0.4, 10 degrees up to 3: tan 0.176327, both bevels meet at 0.728981; the main one rises 1.271019 over 15."""
    found = lines(Grind(edge=0.4, right=Compound(height=18, edge_height=3, edge_angle=10)))
    assert found.fault() is None
    assert found.angle == pytest.approx([4.84337] * 2, abs=1e-5)
    stand = found.stand(np.array([[0.0], [1.5], [3.0], [10.0], [18.0], [25.0]]))[:, 0]
    assert stand == pytest.approx([0.2, 0.464490, 0.728981, 1.322123, 2.0, 2.0], abs=1e-6)


def test_compound_held_by_the_angle_of_its_main_bevel():
    """At 4 degrees, tan 0.0699268, the main bevel runs 1.271019 / 0.0699268 = 18.1764 beyond the second one."""
    told = {"edge_height": 3.0, "edge_angle": 10.0}
    found = lines(Grind(edge=0.4, right=Compound(hold="angle", angle=4.0, **told)))
    assert found.height == pytest.approx([21.1764] * 2, abs=1e-4)
    assert found.angle == pytest.approx([4.0] * 2)
    with_height = lines(Grind(edge=0.4, right=Compound(height=found.height[0], **told)))
    d = np.linspace(0, 30, 61)[:, None]
    np.testing.assert_allclose(found.stand(d), with_height.stand(d), atol=1e-12)


def test_compound_as_steep_as_the_main_bevel_is_a_flat_one():
    """Just steeper than atan(1.8 / 18) = 5.7106 degrees, where it would be none."""
    flat, d = lines(Grind(right=Flat(height=18))), np.linspace(0, 25, 51)[:, None]
    found = lines(Grind(right=Compound(height=18, edge_height=5, edge_angle=5.7107)))
    assert found.fault() is None
    np.testing.assert_allclose(found.stand(d), flat.stand(d), atol=1e-5)


def test_off_centre_edge_moves_both_faces():
    grind = Grind(edge=0.4, edge_offset=0.3, right=Flat(height=18))
    assert lines(grind).stand(np.array([0.0]))[0] == pytest.approx(0.5)
    assert lines(grind, side="left").stand(np.array([0.0]))[0] == pytest.approx(-0.1)


def test_heel_flat_and_plunge():
    grind = Grind(right=Flat(height=18), heel_flat=15, plunge=4)
    stand = lines(grind, along=(5.0, 15.0, 17.0, 19.0, 60.0)).stand(np.zeros(1))
    assert stand == pytest.approx([2.0, 2.0, (2.0 + 0.2) / 2, 0.2, 0.2])
    sudden = Grind(right=Flat(height=18), heel_flat=15, plunge=5e-324)  # the smallest number there is
    assert lines(sudden, along=(15.0, 17.0)).stand(np.zeros(1)) == pytest.approx([2.0, 0.2])


def test_a_spine_that_the_bevel_reaches_is_thinner():
    """A flat bevel of 18 mm, from 0.4 to 4 mm: where the spine is so far from the edge, it has that share of 3.6 mm."""
    outline = NamedOutline(shape="drop point", length=180, height=36)
    ground = Ground(Blade(outline=outline, thickness=4.0), Grind(edge=0.4, right=Flat(height=18)), BAR)
    along = np.array([20.0, 172.0])
    far = outline.edge_distance(along, outline.spine(along))
    assert far[0] > 18 > far[1]
    assert ground.at_spine(along) == pytest.approx([4.0, 0.4 + 3.6 * far[1] / 18])


def test_the_bevel_stops_at_the_ricasso():
    """T 4, edge 0.4, H 18, so that the whole bevel stands at 0.2 + 0.1 d; a plunge of 4 after a ricasso of 15.

    Half way up it stands at 1.1, 0.9 under the face; a quarter of the plunge on, 5/32 of that are ground.
    """
    outline = NamedOutline(shape="sheepsfoot", length=200, height=30, ricasso=15)
    ground = Ground(Blade(outline=outline, thickness=4.0), Grind(edge=0.4, right=Flat(height=18), plunge=4), BAR)
    assert ground.plunge == (15, 19)
    along = np.array([0.0, 7.0, 15.0, 16.0, 17.0, 18.0, 19.0, 100.0])
    stand = ground.stand("right", along, np.full(8, 9.0))
    assert stand == pytest.approx([2, 2, 2, 2 - 0.9 * 5 / 32, 2 - 0.45, 2 - 0.9 * 27 / 32, 1.1, 1.1])
    assert ground.stand("right", along, np.full(8, 18.0)) == pytest.approx(np.full(8, 2.0))  # the flat above it
    assert ground.unground(np.array([-50.0])) == pytest.approx([4.0])  # and so is the tang


def test_the_ricasso_goes_before_the_flat_that_the_grind_asks_for():
    plain = NamedOutline(length=200, height=30)
    for outline, grind, start in (
        (plain, Grind(heel_flat=12), 12),
        (plain.model_copy(update={"ricasso": 15.0}), Grind(heel_flat=12), 15),
        (plain.model_copy(update={"choil": 5.0}), Grind(), 10),
        (plain, Grind(), 0),
    ):
        ground = Ground(Blade(outline=outline, thickness=4.0), grind, BAR)
        assert ground.heel_flat == start
        assert ground.plunge == ((start, start + 4) if start else None)


@pytest.mark.parametrize(
    ("bevel", "words"),
    [
        (
            Hollow(height=28, wheel_diameter=28),
            "diameter 28 mm grinds at most 6.8 mm high here; 28 mm high takes a wheel of diameter 438 mm",
        ),
        (Hollow(height=28, wheel_diameter=120), "height: a wheel of diameter 120 mm grinds at most 14.5 mm high"),
        (Convex(height=18, sag=0.6), "stand proud"),
        (Compound(height=2.5, edge_height=3), "under the grind line, which is 2.5 mm from the edge; given 3 mm"),
        (Compound(height=18, edge_height=3, edge_angle=5.7), "steeper than the main one, which is ground at 5.71°"),
        (Compound(hold="angle", angle=12, edge_height=3, edge_angle=9), "ground at 12°; given 9°"),
        (Compound(height=18, edge_height=3, edge_angle=35), "up to 3 mm from the edge would stand 0.3 mm proud"),
    ],
)
def test_impossible_bevels(bevel, words):
    assert words in str(lines(Grind(right=bevel)).fault())


def test_edge_thicker_than_the_tip():
    grind = Grind(edge=1.2)
    fault = grind.edge_fault(lines(grind, tip=1.0, along=(0.0, 200.0)))
    assert str(fault) == "edge: has to be thinner than the blade is at its thinnest (1 mm); given 1.2 mm"
    assert grind.edge_fault(lines(grind, tip=1.3, along=(0.0, 200.0))) is None


def test_coverage_is_the_outline_area():
    outline = NamedOutline(shape="drop point", length=120, height=30)
    grid = face_grid(outline, 6.0)
    along = np.linspace(0, 120, 20001)
    area = np.trapezoid(outline.spine(along) - outline.edge(along), along)
    assert grid.coverage.sum(dtype=float) / 36 == pytest.approx(area, rel=2e-3)
    assert grid.along[0, 0] == pytest.approx(1 / 12)
    assert grid.across[-1, 0] == pytest.approx(1 / 12)
