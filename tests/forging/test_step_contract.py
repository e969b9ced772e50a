"""Every step faces the same battery."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.base.errors import JobError
from preview.base.units import METRIC
from preview.forging.bar import Bar
from preview.forging.steps import STEPS, Consolidate, ForgeBevel, Press, Taper, Tile, Trim, Turn, Twist, Upset
from preview.forging.steps.base import Heat, PrismaticStep, Step

LOOSE = Bar(80.0, 36.0, 50.0, wall=2.5, density=0.6)
SOLID = Bar(90.0, 40.0, 30.0)
SQUARE = Bar(120.0, 24.0, 25.0)

CASES: list[tuple[str, Step, Bar]] = [
    ("consolidate through", Consolidate(), LOOSE),
    ("consolidate shared", Consolidate(shares={"along": 0.2, "across": 0.3, "through": 0.5}), LOOSE),
    ("press by bite", Press(height=20, bite=22), SOLID),
    ("press hard", Press(height=9, spread=0.6, friction=1.0), SOLID),
    ("press repeated", Press(height=14, repeat=4, friction=0.5), SOLID),
    ("press turned between", Press(height=20, repeat=4, turn_between=True), SOLID),
    ("press to a measured width", Press(height=24, width=43), SOLID),
    ("upset", Upset(length=64), SOLID),
    ("upset to width", Upset(length=70, share=0.8), SOLID),
    ("turn", Turn(), SOLID),
    ("turn back twice", Turn(quarters=-2), SOLID),
    ("twist", Twist(turns=2.25), SQUARE),
    ("twist the other way", Twist(turns=-0.4), SQUARE),
    ("tile", Tile(slice=10, kerf=0), SOLID),
    ("tile of an odd number", Tile(slice=18, kerf=0), SOLID),
    ("taper", Taper(tip_thickness=11, tip_width=25), SOLID),
    ("forge bevel", ForgeBevel(edge_thickness=6, height=22), SOLID),
    ("trim", Trim(faces=(1.0, 2.0), sides=1.5, ends=(4.0, 0.0)), SOLID),
]
IDENTITIES: list[tuple[str, Step, Bar]] = [
    ("consolidate", Consolidate(), Bar(80.0, 36.0, 50.0, wall=2.5, density=1 - 1e-13)),
    ("press", Press(height=30 * (1 - 1e-13)), SOLID),
    ("upset", Upset(length=90 * (1 - 1e-13)), SOLID),
    ("turn", Turn(quarters=4), SOLID),
    ("twist", Twist(turns=0), SOLID),
    ("taper", Taper(tip_thickness=30), SOLID),
    ("forge bevel", ForgeBevel(edge_thickness=30, height=20), SOLID),
    ("trim", Trim(), SOLID),
]
battery = pytest.mark.parametrize(("step", "bar"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])


@battery
def test_its_words_are_a_short_title_with_its_size(step, bar):  # noqa: ARG001 - the battery's
    words = step.words(METRIC)
    assert len(words) <= 70
    assert "\n" not in words
    assert any(sign.isdigit() for sign in words) or isinstance(step, Consolidate)


def test_a_pressing_is_titled_by_its_size():
    assert Press(height=5.6, repeat=6, bite=20).words(METRIC) == "Press to 5.6 mm, 6 passes, bite 20 mm"


def seeds(bar: Bar, count: int = 400) -> np.ndarray:
    """Points well inside the bar, so that a trim takes none of them."""
    return (np.random.default_rng(1).random((count, 3)) - 0.5) * np.array(bar.size) * 0.85


def test_every_registered_step_is_in_the_battery():
    assert {type(step) for _, step, _ in CASES} == set(STEPS)
    # cutting a bar up and laying its end grain to the face is never nothing
    assert {type(step) for _, step, _ in IDENTITIES} == set(STEPS) - {Tile}


@battery
def test_forward_then_back_returns_the_point(step, bar):
    points = seeds(bar)
    there = step.push_forward(points, bar)
    assert np.isfinite(there).all()
    assert np.abs(step.pull_back(there, bar) - points).max() <= 1e-9


@battery
def test_determinant_is_the_stated_volume_ratio(step, bar):
    """By complex step where the map allows, else by Richardson-extrapolated differences."""
    points = seeds(bar, 60)
    columns = []
    for axis in range(3):
        offset = np.zeros(3)

        def difference(reach, offset=offset, axis=axis):
            offset = np.eye(3)[axis] * reach
            forward = step.forward(*np.moveaxis(points + offset, -1, 0), bar)
            backward = step.forward(*np.moveaxis(points - offset, -1, 0), bar)
            return (np.stack(np.broadcast_arrays(*forward), -1) - np.stack(np.broadcast_arrays(*backward), -1)) / (
                2 * reach
            )

        # three reaches make an error of order reach**6; rounding leaves about 1e-11
        a, b, c = (difference(reach) for reach in (4e-3, 2e-3, 1e-3))
        ab, bc = (4 * b - a) / 3, (4 * c - b) / 3
        columns.append((16 * bc - ab) / 15)
    determinant = np.linalg.det(np.stack(columns, axis=-1))
    stated = step.volume_ratio(points, bar)
    assert stated.shape == (60,)
    # a kink (wall to fill, wedge to flat) within reach of a point spoils the difference there, not the map
    off = np.sort(np.abs(determinant - stated))
    spoilt = 6 if isinstance(step, Consolidate | ForgeBevel | Tile) else 0
    assert off[: len(off) - spoilt].max() <= 1e-9


@battery
def test_bars_keep_their_volume(step, bar):
    """Mass balance of the bar sizes: consolidating takes the pores, trimming what it takes, all else nothing."""
    after = step.after(bar)
    if isinstance(step, Consolidate):
        wall = 2 * bar.wall
        inside, filled = (np.prod(np.array(each.size) - wall) for each in (after, bar))
        assert inside == pytest.approx(filled * bar.density, rel=1e-12)
        return
    mean = np.mean(after.thickness_at(*grid(after))) * after.length * after.width
    if isinstance(step, Taper):
        share = np.linspace(0, 1, 20001)
        widths = after.width + (after.tip_width - after.width) * share
        thicknesses = after.thickness + (after.tip_thickness - after.thickness) * share
        mean = np.trapezoid(widths * thicknesses, share) * after.length
    if isinstance(step, Trim):
        assert after.size == pytest.approx((86.0, 37.0, 27.0))
        return
    assert mean == pytest.approx(np.prod(bar.size), rel=2e-4)


def grid(bar: Bar) -> tuple[np.ndarray, np.ndarray]:
    along = (np.arange(400) + 0.5) / 400 - 0.5
    return along[:, None] * bar.length, along[None, :] * bar.width


@battery
def test_corners_of_the_bar_go_to_corners(step, bar):
    """With friction off, a block's faces are the next bar's faces."""
    if isinstance(step, Press):
        step = step.model_copy(update={"friction": 0.0})
    after = step.after(bar)
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) / 2
    if isinstance(step, Trim):
        moved = step.pull_back(corners * after.size, bar)
        assert np.isfinite(moved).all()
        assert np.ptp(moved, axis=0) == pytest.approx(np.array(after.size))
        return
    if isinstance(step, Twist):
        step = Twist(turns=0)
    if isinstance(step, Tile):
        corners = corners * (1 - 1e-12)  # a cut belongs to one slice only
    moved = step.push_forward(corners * bar.size, bar)
    assert np.ptp(moved, axis=0) == pytest.approx(np.array(after.size), rel=1e-9)


@battery
def test_strided_empty_and_shaped_input(step, bar):
    points = seeds(bar, 64)
    plain = step.pull_back(points * 0.3, bar)
    strided = np.zeros((64, 7))[:, ::-2][:, :3]
    strided[:] = points * 0.3
    assert not strided.flags.c_contiguous
    np.testing.assert_array_equal(step.pull_back(strided, bar), plain)
    # a step solves points together until the last has settled, so a share of the last digit may differ
    shaped = step.pull_back((points * 0.3).reshape(4, 16, 3), bar)
    np.testing.assert_allclose(shaped.reshape(-1, 3), plain, atol=1e-12)
    assert step.pull_back(np.empty((0, 3)), bar).shape == (0, 3)
    assert step.push_forward(np.empty((5, 0, 3)), bar).shape == (5, 0, 3)
    assert step.push_forward(points[0], bar).shape == (3,)


@battery
def test_nan_off_the_metal_and_nan_in(step, bar):
    beyond = np.array([[bar.length, 0, 0], [0, bar.width, 0], [0, 0, bar.thickness], [np.nan, 0, 0]])
    assert np.isnan(step.push_forward(beyond, bar)).all()
    after = step.after(bar)
    reach = np.array(after.size)
    far = np.concatenate([np.diag(reach) * 0.8, np.full((1, 3), np.nan)])
    assert np.isnan(step.pull_back(far, bar)).all()
    assert np.isfinite(step.pull_back(np.zeros(3), bar)).all()


@pytest.mark.parametrize(("step", "bar"), [case[1:] for case in IDENTITIES], ids=[case[0] for case in IDENTITIES])
def test_identity_limits(step, bar):
    points = seeds(bar)
    np.testing.assert_allclose(step.push_forward(points, bar), points, atol=1e-9)


def test_order_matters():
    """A press then a turn is not a turn then a press."""
    press, turn = Press(height=20, bite=20), Turn()
    point = np.array([3.0, 9.0, 6.0])
    one = turn.push_forward(press.push_forward(point, SOLID), press.after(SOLID))
    other = press.push_forward(turn.push_forward(point, SOLID), turn.after(SOLID))
    assert np.abs(one - other).max() > 1


@pytest.mark.parametrize(
    ("step", "bar", "where", "words"),
    [
        (Press(height=31), SOLID, "height", "under 30 mm"),
        (Press(height=30), SOLID, "height", "under 30 mm"),
        (Press(height=32, repeat=2, turn_between=True), Bar(90, 31, 60), "height", "under 31 mm with this bar's width"),
        (Press(height=20, width=39), SOLID, "width", "at least 40 mm with this bar's width"),
        (Press(height=20, width=61), SOLID, "width", "at most 60 mm with a bar that grows no longer"),
        (Press(height=20), LOOSE, "step", "consolidate"),
        (Consolidate(), SOLID, "step", "solid already"),
        (Taper(tip_thickness=31), SOLID, "tip_thickness", "at most"),
        (Taper(tip_thickness=3, tip_width=41), SOLID, "tip_width", "at most"),
        (ForgeBevel(edge_thickness=31, height=5), SOLID, "edge_thickness", "at most"),
        (ForgeBevel(edge_thickness=3, height=90), SOLID, "height", "this bar's width"),
        (Trim(faces=15), SOLID, "faces", "14.75 mm with this bar's thickness"),
        (Twist(turns=1), SOLID, "turns", "square or round"),
        (Tile(slice=95), SOLID, "slice", "at most"),
        (Press(height=20), Taper(tip_thickness=9).after(SOLID), "step", "before"),
        (Upset(length=90), SOLID, "length", "under 90 mm"),
        (Upset(length=60), LOOSE, "step", "consolidate"),
        (Upset(length=60), Taper(tip_thickness=9).after(SOLID), "step", "before"),
        (Turn(), ForgeBevel(edge_thickness=3, height=20).after(SOLID), "step", "before"),
    ],
)
def test_what_cannot_be_done_is_refused(step, bar, where, words):
    with pytest.raises(JobError, match=words) as caught:
        step.after(bar)
    assert caught.value.faults[0].where == where


def test_a_twist_turns_each_section_by_its_share():
    """A quarter of the way along a bar of one turn, +across has become +through."""
    place = np.array([-SQUARE.length / 4, 5.0, 0.0])
    np.testing.assert_allclose(Twist(turns=1).push_forward(place, SQUARE), [-SQUARE.length / 4, 0.0, 5.0], atol=1e-9)


def test_tiles_show_their_end_grain():
    """Four slices of 20 mm: what ran along the bar now runs through it; kerfs and the rest are lost."""
    bar, step = Bar(100.0, 40.0, 30.0), Tile(slice=20, kerf=4)
    after = step.after(bar)
    assert after.size == (120.0, 40.0, 20.0)
    assert step.joints(bar).tolist() == [-30.0, 0.0, 30.0]
    # the tip-side cut of the first slice, its lower side, spine side up
    first = step.push_forward(np.array([-50 + 20.0, 7.0, -15.0]), bar)
    np.testing.assert_allclose(first, [-60 + 30.0, 7.0, 10.0], atol=1e-9)
    assert np.isnan(step.push_forward(np.array([-50 + 22.0, 0.0, 0.0]), bar)).all()
    assert np.isnan(step.push_forward(np.array([49.0, 0.0, 0.0]), bar)).all()
    points = seeds(after)
    np.testing.assert_allclose(step.push_forward(step.pull_back(points, bar), bar), points, atol=1e-9)


@battery
def test_a_prismatic_step_is_what_its_table_takes_it_for(step, bar):
    """Alike in the four quarters of a section, and in float32; it hangs on no heat, and on no length unsaid."""
    if not isinstance(step, PrismaticStep):
        return
    across, through = seeds(step.after(bar), 50)[:, 1:].T
    there = step.section_back(across, through, bar)
    for one, other in ((-1, 1), (1, -1)):
        mirrored = step.section_back(one * across, other * through, bar)
        np.testing.assert_allclose(np.abs(mirrored), np.abs(there), atol=1e-12)
    rounded = step.section_back(across.astype(np.float32), through.astype(np.float32), bar)
    assert rounded[0].dtype == rounded[1].dtype == np.float32
    np.testing.assert_allclose(rounded, there, atol=1e-4)
    hot = step.model_copy(update={"heat": Heat(temperature=1100, minutes=30)})
    np.testing.assert_array_equal(hot.section_back(across, through, bar), there)
    longer = step.section_back(across, through, replace(bar, length=1.5 * bar.length))
    assert np.allclose(longer, there, atol=1e-12) != step.by_length
