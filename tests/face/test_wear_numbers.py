"""What goes with a sharpened edge: areas by shapely, the strip on the picture, words."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preview.base.errors import RequestError
from preview.base.units import METRIC, Units
from preview.look.rims import sharpened
from preview.pipeline import after_years, take_picture
from preview.sheets.render import WORN_FILES, render
from preview.sheets.wear_words import wear_lines, years_words


@pytest.fixture
def blade(make):
    """Return a maker of a drop point with a flat grind; ``picture`` is what is bright."""

    def blade(picture):
        return make(
            picture, forging=[{"step": "consolidate"}],
            can={"length": 140, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
            blade={"thickness": 4.4, "outline": {"shape": "drop point", "length": 100, "height": 30}},
            grind={"right": {"hold": "angle", "angle": 3}, "edge": 0.3, "edge_angle": 15},
        )  # fmt: skip

    return blade


@pytest.mark.parametrize("back", [1.0, 4.0, 9.0])
def test_what_goes_is_what_lies_so_near_the_edge(blade, back):
    """All bright: the share of the outline within ``back`` of the edge curve, both by shapely."""
    job = blade(np.ones((40, 100), dtype=bool))
    along = np.linspace(0, 100, 2001)
    edge = np.stack([along, job.blade.outline.edge(along)], axis=1)
    spine = np.stack([along, job.blade.outline.spine(along)], axis=1)
    whole = shapely.make_valid(shapely.Polygon([*edge, *spine[::-1]]))
    gone = whole.intersection(shapely.LineString(edge).buffer(back)).area / whole.area
    found = after_years(job, back, px_per_mm=6).numbers
    for left in found.motif:
        assert left.gone == pytest.approx(gone, abs=0.002)
        assert (left.shapes, left.cut, left.lost) == (1, 1, 0)
    assert found.height == (pytest.approx(30 - back), pytest.approx(30))


def test_shapes_are_cut_into_and_go(blade):
    """Bars along the blade: the one at the edge goes, the next is cut into, the others stay."""
    rows = np.arange(200)[:, None] // 20 % 2 == 1
    job = blade(np.broadcast_to(rows, (200, 300)))
    found = [after_years(job, back, px_per_mm=4).numbers.motif[0] for back in (0.0, 5.0, 14.0)]
    assert [each.lost for each in found] == sorted(each.lost for each in found)
    assert (found[0].gone, found[0].cut, found[0].lost) == (pytest.approx(0, abs=1e-6), 0, 0)
    assert found[2].lost >= 1
    assert found[1].cut + found[1].lost >= 1
    assert all(each.shapes == found[0].shapes >= 3 for each in found)


def test_the_picture_shows_the_blade_so_much_narrower_and_its_strip(blade):
    """At mid-length 5 mm less, and a strip as wide as told: 0.412 / (tan 15 - tan 3) = 1.911."""
    job, px_per_mm = blade(np.zeros((40, 100), dtype=bool)), 20.0
    found = after_years(job, 5.0, px_per_mm=px_per_mm)
    assert found.numbers.edge == (pytest.approx(0.824, abs=0.001), pytest.approx(0.3))
    assert found.numbers.strip[0] == pytest.approx(1.911, abs=0.005)
    for face in found.faces:
        grid = face.grid
        column = int(50 * px_per_mm)
        assert grid.coverage[:, column].sum() / px_per_mm == pytest.approx(25, abs=0.05)
        strip = sharpened(face, job.ground)
        share = np.zeros(grid.coverage.size, dtype=np.float32)
        share[strip.at] = strip.share
        shown = share.reshape(grid.shape)[:, column] * grid.coverage[:, column]
        assert shown.sum() / px_per_mm == pytest.approx(1.911, abs=0.05)


def test_the_tip_comes_back_to_where_the_spine_is_as_far_from_the_edge(blade):
    """By shapely: the first place of the spine that the band along the edge leaves, seen from the tip."""
    job = blade(None)
    along = np.linspace(0, 100, 4001)
    edge = shapely.LineString(np.stack([along, job.blade.outline.edge(along)], axis=1))
    spine = shapely.points(along, job.blade.outline.spine(along))
    left = along[shapely.distance(edge, spine) >= 4.0].max()
    found = after_years(job, 4.0, px_per_mm=4).numbers
    assert found.shorter == pytest.approx(100 - left, abs=0.05)
    assert found.hanging == 0  # this bevel begins at the heel


def test_the_picture_keeps_a_trace_of_what_is_gone(blade):
    """Above the new edge nothing changes; below it bright pattern is orange, and dark steel darker than the ground."""
    bright = np.ones((40, 100), dtype=bool)
    found, px_per_mm = [after_years(blade(each), 4.0, px_per_mm=8) for each in (bright, ~bright)], 8
    rows, columns = found[0].faces[0].view.inside
    for each, tinted in zip(found, (True, False), strict=True):
        shown = each.picture()[rows, columns].astype(float)
        plain = take_picture(each.job, *each.faces)[rows, columns].astype(float)
        gone, left = (shown[-round(high * px_per_mm), 50 * px_per_mm] for high in (2.0, 8.0))
        assert (gone[0] - gone[2] > 40) == tinted
        assert left == pytest.approx(plain[-8 * px_per_mm, 50 * px_per_mm], abs=1)
    assert gone.mean() < plain[-2 * px_per_mm, 50 * px_per_mm].mean()


def test_smith_and_client_are_told(blade):
    found = after_years(blade(np.ones((40, 100), dtype=bool)), 3.0, px_per_mm=4).numbers
    lines = dict(wear_lines(found))
    assert lines["Edge before its stones"] == "0.61 mm thick, new 0.30 mm"
    assert "of its one bright shape 1 cut into, 0 gone" in lines["Right face"]
    assert "Heel" not in lines  # it is ground as the rest
    words = years_words(found, METRIC)
    assert f"the tip lies {found.shorter:.1f} mm further back" in words
    assert "Once 3 mm are gone, some 12 % of the bright pattern is gone too" in words
    assert "1.4 mm wide instead of 0.7 mm" in words
    assert "Once 0.118 in are gone" in years_words(found, Units(sizes="inch"))


def test_no_more_than_half_of_the_blade(blade):
    with pytest.raises(RequestError, match=r"sharpened: has to be from 0 to 15.0 mm, half of the blade; given 20 mm"):
        after_years(blade(None), 20.0)


def test_it_is_written_beside_a_preview(blade, tmp_path):
    written = render(blade(None), tmp_path / "looks", px_per_mm=2, sharpened=3.0)
    assert {path.name for path in written} > set(WORN_FILES)
    assert "Bare strip along it" in (tmp_path / "looks" / "after_years.txt").read_text("utf-8")
