"""Every outline there is, in the same battery; distances against shapely's."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, distance, points

from preview.base.errors import RequestError
from preview.blade.blade import Blade
from preview.blade.outlines import OUTLINES, NamedOutline, Outline
from preview.job.faults import make_settings

every_outline = pytest.mark.parametrize(
    "outline", [kind(shape=shape, length=150, height=32) for shape, kind in OUTLINES.items()], ids=list(OUTLINES)
)


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


@every_outline
def test_curves_meet_at_the_tip_and_nowhere_else(outline):
    along = np.linspace(0, 150, 400)
    assert outline.edge(along)[0] == 0
    assert outline.spine(along)[0] == 32
    assert outline.tip[0] == 150
    assert Outline.tip.fget(outline) == pytest.approx(outline.tip)
    assert outline.edge(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert outline.spine(np.array(150.0)) == pytest.approx(outline.tip[1])
    assert (outline.spine(along)[:-1] > outline.edge(along)[:-1]).all()


@every_outline
def test_what_it_contains(outline):
    along = np.linspace(1, 149, 50)
    middle = (outline.edge(along) + outline.spine(along)) / 2
    assert outline.contains(along, middle).all()
    assert not outline.contains(along, outline.edge(along) - 0.01).any()
    assert not outline.contains(along, outline.spine(along) + 0.01).any()
    assert not outline.contains(np.array([-0.1, 150.1]), np.array([16.0, outline.tip[1]])).any()


@every_outline
def test_the_edge_is_no_distance_from_itself(outline):
    along = np.linspace(0, 150, 333)
    for found in (outline.edge_distance, lambda *at: Outline.edge_distance(outline, *at)):
        assert found(along, outline.edge(along)) == pytest.approx(np.zeros(333), abs=2e-5)


@pytest.mark.parametrize("belly", [None, 60.0, 30.0, 8.0, 0.3])
@pytest.mark.parametrize("size", [(180.0, 36.0), (60.0, 40.0)], ids=["usual", "stubby"])
@pytest.mark.parametrize("shape", OUTLINES)
def test_distance_to_the_edge_against_shapely(shape, size, belly):
    outline = NamedOutline(shape=shape, length=size[0], height=size[1], belly=belly)
    spots = inside(outline)
    truth = distance(edge_line(outline), points(spots))
    np.testing.assert_allclose(outline.edge_distance(*spots.T), truth, atol=1e-4)
    np.testing.assert_allclose(Outline.edge_distance(outline, *spots.T), truth, atol=1e-4)


def test_distance_keeps_shape_and_nan():
    for belly in (90.0, 10.0):
        outline = NamedOutline(belly=belly)
        found = outline.edge_distance(np.array([[20.0, np.nan, 175.0]]), np.array([[9.0], [18.0]]))
        assert found.shape == (2, 3)
        assert np.isnan(found[:, 1]).all()
        assert np.isfinite(found[:, [0, 2]]).all()


def test_straight_edge_is_plain_height():
    outline = NamedOutline(shape="sheepsfoot", length=150, height=32)
    assert outline.edge_distance(np.array([20.0, 90.0]), np.array([7.0, 31.0])) == pytest.approx([7.0, 31.0])


@every_outline
def test_it_stands_in_a_job_as_it_is(outline):
    blade = Blade(outline=outline)
    assert Blade.model_validate(blade.model_dump()) == blade
    for name in type(outline).model_fields:
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
