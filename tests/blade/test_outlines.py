"""Every outline there is, in the same battery; distances against shapely's."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Polygon, distance, points

from preview.base.errors import RequestError
from preview.blade.blade import Blade
from preview.blade.outlines import OUTLINES, DrawnOutline, NamedOutline, Outline
from preview.blade.outlines.named import FORMS
from preview.blade.outlines.writing import outline_svg
from preview.blade.slab import Slab
from preview.job.faults import make_settings


@pytest.fixture(params=OUTLINES)
def outline(request, tmp_path):
    """Every outline there is, 150 mm long and 32 mm high; the drawn one is a drawing of a named one."""
    if request.param in FORMS:
        return NamedOutline(shape=request.param, length=150, height=32)
    (tmp_path / "blade.svg").write_text(outline_svg(NamedOutline(length=150, height=32)))
    return DrawnOutline(drawing="blade.svg", length=150).in_folder(tmp_path)


def inside(outline, count=400):
    """Spots inside an outline, on its spine, and close to its tip."""
    rng = np.random.default_rng(2)
    spots = rng.random((4 * count, 2)) * (outline.length, outline.height)
    spine, near_tip = np.linspace(0, outline.length, 40), outline.length - 2 * rng.random(40)
    return np.concatenate([
        spots[outline.contains(*spots.T)][:count],
        np.stack([spine, outline.spine(spine)], axis=1),
        np.stack([near_tip, (outline.edge(near_tip) + outline.spine(near_tip)) / 2], axis=1),
    ])  # fmt: skip


def edge_line(outline):
    along = np.linspace(0, outline.length, 2001)
    belly = outline.length - outline.belly_length * np.linspace(0, 1, 20_001)
    along = np.unique(np.clip(np.concatenate([along, belly]), 0, outline.length))
    return LineString(np.stack([along, outline.edge(along)], axis=1))


def test_curves_meet_at_the_tip_and_nowhere_else(outline):
    along = np.linspace(0, 150, 400)
    assert outline.edge(along)[0] == pytest.approx(0, abs=1e-4)
    assert outline.spine(along)[0] == pytest.approx(32, abs=1e-4)
    assert outline.tip[0] == pytest.approx(150)
    assert Outline.tip.fget(outline) == pytest.approx(outline.tip)
    assert outline.edge(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert outline.spine(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert (outline.spine(along)[:-1] > outline.edge(along)[:-1]).all()


def test_what_it_contains(outline):
    along = np.linspace(1, 149, 50)
    middle = (outline.edge(along) + outline.spine(along)) / 2
    assert outline.contains(along, middle).all()
    assert not outline.contains(along, outline.edge(along) - 0.01).any()
    assert not outline.contains(along, outline.spine(along) + 0.01).any()
    assert not outline.contains(np.array([-0.1, 150.1]), np.array([16.0, outline.tip[1]])).any()


def test_the_edge_is_no_distance_from_itself(outline):
    along = np.linspace(0, 150, 333)
    for found in (outline.edge_distance, lambda *at: Outline.edge_distance(outline, *at)):
        assert found(along, outline.edge(along)) == pytest.approx(np.zeros(333), abs=2e-5)


def test_profile_and_what_else_there_is_of_a_blade(outline):
    whole = Polygon(outline.profile)
    assert whole.is_valid
    assert whole.bounds == pytest.approx((0, 0, 150, 32), abs=1e-3)
    assert not outline.tang_polygon.size
    assert outline.choil_span is None
    assert outline.ricasso_length == 0


def test_a_named_blade_with_ricasso_choil_and_tang():
    outline = NamedOutline(length=150, height=32, ricasso=18, choil=3, tang=90, tang_height=14)
    plain = NamedOutline(length=150, height=32)
    assert outline.choil_span == (12, 18)
    along = np.array([5.0, 11.99, 15.0, 18.01, 60.0])
    assert outline.edge(along) == pytest.approx([0, 0, 3, 0, 0])
    assert not outline.contains(along[2], np.array(2.9))
    assert outline.edge_distance(along, np.full(5, 9.0)) == pytest.approx(np.full(5, 9.0))
    assert outline.spine(along) == pytest.approx(plain.spine(along))
    blade, whole = Polygon(plain.profile), Polygon(outline.profile)
    assert whole.is_valid
    corners = 2 * (1 - np.pi / 4) * 3.5**2  # rounded by a quarter of the tang's height
    assert whole.area == pytest.approx(blade.area - np.pi * 9 / 2 + 90 * 14 - corners, abs=0.05)
    assert outline.tang_area == pytest.approx(90 * 14 - corners, abs=0.05)
    assert outline.tang_length == 90
    assert not outline.tang_is_full
    assert NamedOutline(length=150, height=32, tang=90, tang_height=24).tang_is_full
    assert plain.tang_area == plain.tang_length == 0
    assert outline.tang_polygon.min(axis=0) == pytest.approx([-90, 9])
    assert NamedOutline(choil=4).ricasso_length == 8


@pytest.mark.parametrize("belly", [None, 60.0, 30.0, 8.0, 0.3])
@pytest.mark.parametrize("size", [(180.0, 36.0), (60.0, 40.0)], ids=["usual", "stubby"])
@pytest.mark.parametrize("shape", FORMS)
def test_distance_to_the_edge_against_shapely(shape, size, belly):
    outline = NamedOutline(shape=shape, length=size[0], height=size[1], belly=belly)
    spots = inside(outline)
    truth = distance(edge_line(outline), points(spots))
    np.testing.assert_allclose(outline.edge_distance(*spots.T), truth, atol=1e-4)
    np.testing.assert_allclose(Outline.edge_distance(outline, *spots.T), truth, atol=1e-4)


def test_distance_to_the_side_of_a_whole_bar_against_shapely():
    bar = Slab(length=200, height=40)
    along, across = np.meshgrid([-3.0, 0.0, 50.0, 200.0, 204.0], [0.0, 0.4, 39.0])
    side = LineString([(0, 0), (200, 0)])
    expected = distance(points(along, across), side)
    assert bar.edge_distance(along, across) == pytest.approx(expected, abs=1e-12)
    assert bar.edge_distance(np.array([[1.0, 2.0]]), np.array([[3.0], [4.0]])).tolist() == [[3.0, 3.0], [4.0, 4.0]]


def test_distance_keeps_shape_and_nan():
    for belly in (90.0, 10.0):
        outline = NamedOutline(belly=belly)
        found = outline.edge_distance(np.array([[20.0, np.nan, 175.0]]), np.array([[9.0], [18.0]]))
        assert found.shape == (2, 3)
        assert np.isnan(found[:, 1]).all()
        assert np.isfinite(found[:, [0, 2]]).all()


@pytest.mark.parametrize("shape", FORMS)
def test_the_spine_comes_down_without_a_kink(shape):
    """No published source: what these points look like is common practice among smiths."""
    along = np.linspace(0, 150, 15_001)
    spine = NamedOutline(shape=shape, length=150, height=32).spine(along)
    slope = np.diff(spine) / 0.01
    assert np.abs(np.diff(slope)).max() < 2e-3
    assert (slope < 1e-9).all()
    turns = np.sign(np.round(np.diff(slope), 8))
    turns = turns[turns != 0]
    assert (np.diff(turns) != 0).sum() == (shape == "clip point")  # turns down into the clip, then rises: no wiggle


def test_points_look_like_what_they_are_called():
    points = {shape: NamedOutline(shape=shape, length=150, height=32).tip[1] / 32 for shape in FORMS}
    assert points["clip point"] < points["spear"] == 0.5 < points["drop point"] - 0.15 < points["straight back"]
    clip = NamedOutline(shape="clip point", length=150, height=32)
    cut = np.linspace(150 - 0.8 * clip.point_length, 150, 50)
    chord = np.interp(cut, cut[[0, -1]], clip.spine(cut[[0, -1]]))
    assert (clip.spine(cut) <= chord + 1e-9).all()  # hollow


def test_straight_edge_is_plain_height():
    outline = NamedOutline(shape="sheepsfoot", length=150, height=32)
    assert outline.edge_distance(np.array([20.0, 90.0]), np.array([7.0, 31.0])) == pytest.approx([7.0, 31.0])


def test_it_stands_in_a_job_as_it_is(outline):
    blade = Blade(outline=outline)
    back = Blade.model_validate(blade.model_dump())
    assert type(back.outline) is type(outline)
    assert back.model_dump() == blade.model_dump()
    for name in outline.asked():
        assert type(outline).control(name).label
        assert type(outline).control(name).help


@pytest.mark.parametrize(
    ("outline", "where", "words"),
    [
        ({"shape": "leaf"}, "blade.outline.shape", "'drop point'.*is needed; given 'leaf'"),
        ({"shape": "spear", "length": 0}, "blade.outline.length", "over 0"),
        ({"bely": 3}, "blade.outline.bely", "is 'belly' meant?"),
        ("spear", "blade.outline", "a table is needed"),
    ],
)
def test_what_is_wrong_is_told_with_its_key(outline, where, words):
    with pytest.raises(RequestError, match=words) as error:
        make_settings(Blade, {"outline": outline}, "blade")
    assert [fault.where for fault in error.value.faults] == [where]
