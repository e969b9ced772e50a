"""What etch, wheel, stones and rubbing leave: creeping lines, the plunge's hollow, the edge's end, strokes, by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.look.creep import crept
from preview.look.plunge import plunge_of
from preview.look.rims import RUN_IN, shadow_on, sharpened
from preview.look.rubbing import LEFT, rubbed, scratches
from preview.pipeline import preview

SCALE = 20.0


@pytest.fixture
def knife(make):
    """A blade dark towards the heel, bright towards the tip; 10 mm unground, then a plunge of 6; 1.35 mm ground off."""
    return make(
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.0},
            {"name": "bright", "colours": ["white"], "nickel": 60.0},
        ],
        forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 3, "outline": {"shape": "sheepsfoot", "length": 100, "height": 30, "ricasso": 10}},
        grind={"edge": 0.3, "plunge": 6, "right": {"kind": "flat", "height": 20}},
    )  # fmt: skip


@pytest.fixture
def face(knife):
    return preview(knife, px_per_mm=SCALE).faces[0]


def test_the_etch_creeps_at_the_line_raggedly_and_strays_no_farther(face):
    """A sharp line becomes a half-tone of 0.1 to 0.3 mm, strays by some hundredths, and lies on the mean where it did.

    From half a millimetre on all is as it was, and three steels still share each pixel.
    """
    step = np.broadcast_to(face.grid.along > 50, face.grid.shape).astype(np.float32)
    (after,) = crept(replace(face, shares=(step,)), 3)
    wide = ((after > 0.1) & (after < 0.9)).sum(axis=1) / SCALE
    assert 0.1 < wide.mean() < 0.3
    strays = (step - after).sum(axis=1) / SCALE
    assert strays.mean() == pytest.approx(0, abs=0.01)
    assert 0.02 < strays.std() < 0.06
    far = np.abs(face.grid.along[0] - 50) > 0.5
    np.testing.assert_allclose(after[:, far], step[:, far], atol=1e-6)
    upper = np.broadcast_to(face.grid.across > 12, face.grid.shape)
    second, third = crept(replace(face, shares=(step * upper, step * ~upper)), 3)
    np.testing.assert_allclose((second + third)[:, far], step[:, far], atol=1e-6)
    assert min(second.min(), third.min()) >= 0
    assert (second + third).max() < 1 + 1e-5
    assert ((second > 0.2) & (third > 0.2)).any()


def test_drawn_out_grains_leave_a_line_along_the_draw_the_smoother(face):
    """Grains 2.8 long, 1.4 tall: a line along them strays the less, and over longer stretches, than one across.

    It strays more here, less there, and no stretch comes twice.
    """
    drawn = replace(face, grain=(2.8, 1.4))
    over = np.broadcast_to(face.grid.across > 15, face.grid.shape).astype(np.float32)
    beside = np.broadcast_to(face.grid.along > 50, face.grid.shape).astype(np.float32)
    (level,), (upright,) = (crept(replace(drawn, shares=(step,)), 3) for step in (over, beside))
    along = (over - level).sum(axis=0)[20:-20] / SCALE
    across = (beside - upright).sum(axis=1)[20:-20] / SCALE
    assert 0.4 < along.std() / across.std() < 0.75
    often = [float(np.abs(np.diff(line)).mean() / line.std()) for line in (along, across)]
    assert often[0] < 0.7 * often[1]
    here = along[: len(along) // 80 * 80].reshape(-1, 80).std(axis=1)  # 4 mm
    assert np.percentile(here, 90) > 1.5 * np.percentile(here, 10)
    waves = np.fft.rfft(along - along.mean(), 2 * len(along))
    alike = np.fft.irfft(np.abs(waves) ** 2)[60 : len(along) // 2]
    assert alike.max() < 0.3 * along.var() * len(along)


def test_lines_hardly_wider_than_pixels_keep_their_mean_everywhere(face):
    """Half of each four pixels: a millimetre of them is as light as the next, whatever the grains."""
    lines = np.broadcast_to(np.arange(face.grid.shape[1]) % 4 < 2, face.grid.shape).astype(np.float32)
    (after,) = crept(replace(face, shares=(lines,)), 3)
    blocks = after[:600, :2000].reshape(30, 20, 100, 20).mean(axis=(1, 3))
    assert blocks.mean() == pytest.approx(0.5, abs=0.01)
    assert blocks.std() < 0.02


def test_the_plunge_is_the_hollow_of_a_wheel(knife, face):
    """Radius 6^2 / (2 x 1.35) = 13.3 mm: what stands d over the bevel there begins sqrt(2 x 13.3 d) before its end.

    Half way up, 10 mm over the edge, d = 0.675: at 16 - 4.24 = 11.76 mm; there it is steepest, 4.24 / 13.3 = 0.318.
    """
    grid = face.grid
    leaning = plunge_of(face, knife.ground)
    right = np.gradient(face.stand.astype(float), 1 / SCALE, axis=1)
    right.ravel()[leaning.at] += leaning.along
    row = int(np.argmin(np.abs(grid.across[:, 0] - 10)))
    steepest = int(np.argmin(right[row, 100:400])) + 100
    assert grid.along[0, steepest] == pytest.approx(11.76, abs=0.15)
    assert right[row, steepest] == pytest.approx(-0.318, abs=0.02)
    assert right[row, :steepest] == pytest.approx(0, abs=1e-3)  # no slope between, which would be a glint
    over = int(np.argmin(np.abs(grid.across[:, 0] - 25)))  # the flat over the grind line is as it was
    assert not (leaning.at // grid.shape[1] == over).any()


def test_the_sharpened_edge_runs_out_at_the_heel_below_a_shadow(knife, face):
    """Its width grows as 1 - exp(-x / RUN_IN) behind the plunge's end; the steel right over it is darker."""
    strip = sharpened(face, knife.ground)
    columns = face.grid.shape[1]
    wide = np.bincount(strip.at % columns, strip.share, minlength=columns)
    whole = wide[1000]
    for behind in (1.0, 3.0, 8.0):
        at = round((16 + behind) * SCALE)
        assert wide[at] / whole == pytest.approx(1 - np.exp(-behind / RUN_IN), abs=0.08)
    at, deep = shadow_on(face.view, strip)
    assert (np.diff(at) > 0).all()
    shaded = at[(at % columns) == 1000] // columns
    edge = strip.at[(strip.share > 0.5) & (strip.at % columns == 1000)] // columns
    assert shaded.min() < edge.min()
    assert (edge.min() - shaded.min()) / SCALE == pytest.approx(0.2, abs=0.12)
    assert 0.3 < deep.max() < 1


@pytest.mark.parametrize("lengthwise", [True, False])
def test_strokes_lie_some_degrees_apart_and_nothing_comes_twice(lengthwise):
    """The structure tensor's axis (Foerstner & Guelch 1987, from memory) is the stroke; no shift brings it back."""
    shape = (400, 1000) if lengthwise else (1000, 400)
    marks = scratches(shape, SCALE, 1, lengthwise=lengthwise)
    down, right = np.gradient(marks.astype(float))
    across, along = (down, right) if lengthwise else (right, down)
    assert np.abs(np.degrees(0.5 * np.arctan2(2 * (across * along).mean(), (along**2 - across**2).mean()))) > 88
    assert 0.02 < (along**2).mean() / (across**2).mean() < 0.5
    waves = np.fft.rfft2(marks - marks.mean())
    alike = np.fft.irfft2(np.abs(waves) ** 2, shape)
    alike /= alike[0, 0]
    near = 12 if lengthwise else 60
    assert alike[near : shape[0] - near, 60:-60].max() < 0.35


def test_rubbing_is_less_at_the_spine_and_round_the_plunge(face):
    marks = rubbed(face.view, (10.0, 16.0), 1, lengthwise=True)
    whole = scratches(face.grid.shape, SCALE, 1, lengthwise=True)
    share = np.abs(marks).sum(axis=1) / np.abs(whole).sum(axis=1)
    assert share[1] == pytest.approx(LEFT, abs=0.05)
    assert share[300] > 0.9
    share = np.abs(marks[300]) / np.maximum(np.abs(whole[300]), 1e-6)
    assert share[round(13 * SCALE)] == pytest.approx(LEFT, abs=0.05)
    assert share[round(30 * SCALE)] == pytest.approx(1, abs=1e-3)
