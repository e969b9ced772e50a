"""What an etched face shows of shell, holes and powders, worked out by hand; CIE L* by CIE 15:2018, section 8.2.1."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from preview.blade.outlines import NamedOutline
from preview.face.grid import face_grid
from preview.face.view import View
from preview.look.backdrop import backdrop, empty_ground
from preview.look.handle import Board, wood_grain
from preview.look.rims import EASED
from preview.pipeline import fields, preview

POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.0},
    {"name": "bright", "colours": ["white"], "nickel": 60.0},
]
ETCH = {"minutes": 600, "bright": 78, "dark": 24}
HOLE = 0.004
"""Relative luminance of a hole: darker than any steel (chosen by eye)."""


@pytest.fixture
def shelled(make):
    """All the can's wall left on: the flat shows it, the bevel below does not."""
    return make(
        powders=POWDERS, etch=ETCH, forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 2, "fill_density": 0.6},
        blade={"thickness": 20, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"edge": 0.5, "right": {"height": 20}},
    )  # fmt: skip


def test_the_shell_is_a_fifth_of_the_way_up_from_dark(shelled):
    """L* 24 + (78 - 24) / 5 = 34.8, so Y = ((34.8 + 16) / 116)**3 = 0.08399 (a fifth: common practice, no source)."""
    found = fields(shelled, px_per_mm=2)
    for side in ("right", "left"):
        shell = found[f"{side}_tone"][found[f"{side}_powder"] == -1]
        assert shell.size > 1000
        assert shell == pytest.approx(np.full(shell.shape, 0.08399), abs=1e-5)


def test_powders_show_dark_and_bright(shelled):
    """L* 24 and 78: Y = (40 / 116)**3 = 0.04100 and (94 / 116)**3 = 0.53211."""
    found = fields(shelled, px_per_mm=2)
    for index, y in ((0, 0.04100), (1, 0.53211)):
        tone = found["right_tone"][(found["right_powder"] == index) & found["right_mask"]]
        assert tone.size > 500
        assert np.median(tone) == pytest.approx(y, abs=1e-4)


def test_the_shell_is_seen_in_the_picture(shelled):
    """Between the two powders, nearer the dark one; all under the same light, from all round."""
    even = shelled.light.model_copy(update={"studio": "even"})
    shown = preview(shelled.model_copy(update={"light": even}), px_per_mm=2)
    rim = 16
    grey = shown.pictures[0][rim:-rim, rim:-rim, 1].astype(float)
    flat, bevel = grey[4:12], grey[-20:-10]
    half = grey.shape[1] // 2
    shell, dark, bright = flat[:, 20:160].mean(), bevel[:, 20 : half - 10].mean(), bevel[:, half + 10 : 160].mean()
    assert dark + 5 < shell < (dark + bright) / 2


def test_holes_are_nearly_black(make):
    """Clear pixels hold no powder, and off the bar there is no metal: both show as holes."""
    picture = np.zeros((40, 100, 4), dtype=np.uint8)
    picture[..., 3] = 255
    picture[:, 40:60] = 0
    job = make(
        picture, powders=POWDERS, etch=ETCH, forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
    )  # fmt: skip
    found = fields(job, px_per_mm=2)
    tone = found["right_tone"][found["right_powder"] == -2]
    assert tone.size > 1000
    assert np.median(tone) == pytest.approx(HOLE, abs=1e-6)
    shown = preview(job, px_per_mm=2)
    grey = shown.pictures[0][30:60, 16:-16, 1]
    assert grey[:, 95:105].max() < 30
    assert grey[:, 20:60].mean() > 40


def test_a_face_beyond_the_bar_is_a_hole(make):
    """A pressed bar bulges: at the dies it is narrower than on the mean, and a blade as wide as the bar has no skin."""
    job = make(
        powders=POWDERS, etch=ETCH,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 12, "width": 56, "friction": 1.0}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 11.5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 56}},
        grind={"right": {"height": 4}},
    )  # fmt: skip
    found = fields(job, px_per_mm=2)
    lost = found["right_mask"] & np.isnan(found["right_can_along"])
    assert lost.sum() > 300
    assert found["right_tone"][lost] == pytest.approx(np.full(lost.sum(), HOLE), abs=1e-6)
    numbers = preview(job, px_per_mm=2).numbers
    assert numbers.right.lost_share == pytest.approx(lost.sum() / found["right_mask"].sum(), abs=0.01)
    assert any("there is no metal" in str(note) for note in numbers.notes)


@pytest.mark.parametrize(("length", "scale"), [(130, 50), (60, 10)])
def test_the_scale_bar_is_true(make, length, scale):
    """At 4 px/mm, in the lower left corner of the left face's picture: 50 mm, on a short blade 10 mm."""
    job = make(
        powders=POWDERS, forging=[{"step": "consolidate"}],
        can={"length": 140, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": length, "height": 30}},
    )  # fmt: skip
    row = preview(job, px_per_mm=4).pictures[1][-7, :, 1]
    light = np.flatnonzero(row > 170)
    first = light[: np.argmax(np.diff(light, append=10_000) > 1) + 1]  # the bar, before its figure
    assert len(first) == pytest.approx(scale * 4, abs=2)


@pytest.fixture
def tanged(make):
    """Return a maker of jobs that differ behind the heel only."""

    def tanged(handle="plain", **more):
        return make(
            powders=POWDERS, forging=[{"step": "consolidate"}],
            can={"length": 140, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
            blade={
                "thickness": 5, "handle": handle, "placement": {"heel": 45},
                "outline": {"shape": "spear", "length": 90, "height": 30, **more},
            },
        )  # fmt: skip

    return tanged


@pytest.mark.parametrize("handle", ["plain", "none"])
@pytest.mark.parametrize("height", [8, 24])
def test_what_lies_behind_the_heel_changes_nothing_of_the_face(tanged, handle, height):
    """Inside the blade, past the heel's own eased corners, each pixel is as it was; arrays and numbers are the same."""
    plain, shown = (preview(job, px_per_mm=4) for job in (tanged(), tanged(handle, tang=40, tang_height=height)))
    for side in ("right", "left"):
        before, now = plain.view(side), shown.view(side)
        past = EASED + max(now.outline.eased)
        on_blade = before.seen((before.grid.coverage == 1) & (before.grid.along > past))
        face, same = (of.picture_of(side)[view.inside] for of, view in ((plain, before), (shown, now)))
        np.testing.assert_array_equal(face[on_blade], same[on_blade])
    assert plain.numbers == shown.numbers
    assert all(np.array_equal(one.stand, other.stand) for one, other in zip(plain.faces, shown.faces, strict=True))


@pytest.mark.parametrize(("handle", "height"), [("none", 8), ("none", 24), ("plain", 24), ("plain", 8)])
def test_tang_and_handle_lie_behind_the_heel_at_the_faces_scale(tanged, handle, height):
    """Left of the right face and right of the left one, brown, or brighter than stone: a tang to its end, and as much
    of a handle as leaves the blade, 90 mm long, 70 % of the picture's width."""
    scale, rim = 4, 8 * 4
    end, long = (rim, 40) if handle == "none" else (0, 90 / 0.7 - 90 - 8)

    def seen(row):
        red, green, blue = row.astype(int).T
        return (red - blue > 20) | (green > 132)

    shown = preview(tanged(handle, tang=40, tang_height=height), px_per_mm=scale)
    right, left = shown.pictures
    assert right.shape == left.shape == (30 * scale + 2 * rim, round((90 + long) * scale) + rim + end, 3)
    middle, long = rim + 15 * scale, round(long * scale)
    behind = np.flatnonzero(seen(right[middle, : end + long]))
    assert (behind[0], behind[-1]) == pytest.approx((end, end + long - 1), abs=3)
    behind = np.flatnonzero(seen(left[middle, rim + 90 * scale + 1 :]))
    assert (behind[0], behind[-1]) == pytest.approx((0, long - 1), abs=3)


def test_each_handle_is_sawn_from_its_own_board(tanged):
    """Three woods in turn by the blade's length; the left side has a cut of its own, not the right one's mirrored."""
    outlines = [tanged(tang=40).blade.outline.model_copy(update={"length": 89.0 + more}) for more in range(3)]
    boards = [[Board.of(1, outline, side) for side in ("right", "left")] for outline in outlines]
    assert [[each.wood for each in both] for both in boards] == [[0, 0], [1, 1], [2, 2]]
    right, left = (wood_grain(each) for each in boards[0])
    for other in (left, left[::-1], left[:, ::-1]):
        assert abs(np.corrcoef(right.ravel(), other.ravel())[0, 1]) < 0.3
    assert wood_grain(boards[1][0]).mean() < right.mean() < wood_grain(boards[2][0]).mean()


def test_the_lower_ground_goes_on_where_the_upper_one_ends():
    upper, lower = (empty_ground((120, 400), 4.0, lower=which) for which in (False, True))
    smooth = [gaussian_filter1d(each, 20) for each in (upper[-1], lower[0])]
    assert np.abs(smooth[0] / smooth[1] - 1).max() < 0.04
    assert upper[:, :80].mean() > 1.15 * upper[:, -80:].mean()  # the window is on the left


def test_no_shadow_is_cut_off_where_one_face_s_picture_meets_the_other_s(make):
    job = make(powders=POWDERS, blade={"thickness": 4, "outline": {"length": 60, "height": 20}})
    upper, lower = (backdrop(View.of(side, job.blade, 4.0), None, job.seed)[0] for side in ("right", "left"))
    smooth = [gaussian_filter1d(each, 20) for each in (upper[-1], lower[0])]
    assert np.abs(smooth[0] / smooth[1] - 1).max() < 0.04


@pytest.mark.parametrize("height", [None, 20.0])
def test_only_the_picture_has_corners_of_heel_and_choil_eased(height):
    """A quarter of a circle is left of each: (1 - pi / 4) r2, less beside a tang that leaves it no room."""
    outline = NamedOutline(length=90, height=30, ricasso=10, tang=40, tang_height=height, shape="sheepsfoot")
    radius = 3.0
    grid = face_grid(outline, 20.0)
    lost = (grid.coverage - grid.shown)[:, : int(radius * 20) + 2].sum() / 400
    assert outline.eased == (radius, radius)
    assert lost == pytest.approx(2 * (1 - np.pi / 4) * radius**2, abs=0.06)
    assert (grid.coverage == grid.shown)[:, int(radius * 20) + 2 :].all()
    notched = outline.model_copy(update={"choil": 4.0, "tang": 0.0})
    lost = (face_grid(notched, 20.0).coverage - face_grid(notched, 20.0).shown).sum() / 400
    assert lost == pytest.approx(2 * (1 - np.pi / 4) * 1.0**2, abs=0.12)  # a quarter of the choil's half width
    assert notched.eased_to == 11
    tight = outline.model_copy(update={"tang_height": 28.0})
    assert tight.eased == (1, 1)
    assert NamedOutline(length=90, height=30, tang=40).eased == (0, 3)  # its edge goes on to the heel
    assert face_grid(outline.model_copy(update={"tang": 0.0}), 2.0).shown.shape == (60, 180)


def test_a_place_of_the_blade_is_found_beside_a_handle(tanged):
    """A spot pointed at on the picture is the same grain, with a handle and without."""
    plain, handled = preview(tanged(), px_per_mm=2), preview(tanged(tang=40), px_per_mm=2)
    for side in ("right", "left"):
        spots = [of.spots.of_face(side, *of.view(side).to_picture(30.0, 12.0)) for of in (plain, handled)]
        assert spots[0] == spots[1]
        assert spots[0].blade[:2] == pytest.approx((30, 12))
        assert handled.spots.place_on_face(spots[1]) == pytest.approx(handled.view(side).to_picture(30, 12))
        (pixel,) = handled.view(side).pixels(np.array([(30.0, 12.0)]))
        rows, columns, _ = handled.picture_of(side).shape
        assert pixel / (columns, rows) == pytest.approx(handled.view(side).to_picture(30, 12), abs=0.01)
