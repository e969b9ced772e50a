"""An unmistakable mark, an F: upright on the right face, mirrored on the left, tip and edge where the frames say."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import binary_erosion

from preview.blade.blade import Placement
from preview.face.view import RIM
from preview.job.uncut import uncut
from preview.pipeline import fields, preview, trace
from preview.sheets.uncut_files import on_bar

F = np.array(
    [
        [1, 1, 1, 1],
        [1, 0, 0, 0],
        [1, 1, 1, 0],
        [1, 0, 0, 0],
        [1, 0, 0, 0],
    ],
    dtype=bool,
)
POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.1},
    {"name": "bright", "colours": ["white"], "nickel": 4.0},
]
CAN = {"length": 70, "width": 30, "height": 44, "wall": 0, "fill_density": 0.6}


def marked(rows: int, columns: int, block: int) -> np.ndarray:
    picture = np.zeros((rows, columns), dtype=bool)
    letter = np.kron(F, np.ones((block, block), dtype=bool))
    top, left = (rows - letter.shape[0]) // 2, (columns - letter.shape[1]) // 2
    picture[top : top + letter.shape[0], left : left + letter.shape[1]] = letter
    return picture


def letter_in(mask: np.ndarray) -> np.ndarray:
    """Return the marked part of a picture as five rows of four blocks."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    cut = mask[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1].astype(float)
    blocks = [[part.mean() for part in np.array_split(band, 4, axis=1)] for band in np.array_split(cut, 5, axis=0)]
    return np.array(blocks) > 0.5


@pytest.fixture
def through(make):
    return make(
        marked(150, 350, 14),
        powders=POWDERS,
        can=CAN,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 8, "bite": 20, "friction": 0.3}],
        blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 130, "height": 34}},
        grind={"right": {"height": 6}},
    )


def test_dividers_through(through):
    found = fields(through, px_per_mm=4)
    np.testing.assert_array_equal(letter_in(found["right_powder"] == 1), F)
    np.testing.assert_array_equal(letter_in(found["left_powder"] == 1), F[:, ::-1])


def test_the_picture_shows_what_fields_says(through):
    shown = preview(through, px_per_mm=4)
    for picture, face, letter in zip(shown.pictures, shown.faces, (F, F[:, ::-1]), strict=True):
        rim = round(RIM * 4)
        grey = picture[rim:-rim, rim:-rim, 1]
        on_blade = binary_erosion(face.grid.mask, iterations=2)
        on_blade = on_blade if face.side == "right" else on_blade[:, ::-1]
        np.testing.assert_array_equal(letter_in((grey > 120) & on_blade), letter)


def test_tip_and_edge_are_where_the_frames_say(through):
    found = fields(through, px_per_mm=4)
    assert found["right_along"][0, 0] < found["right_along"][0, -1]
    assert found["left_along"][0, 0] > found["left_along"][0, -1]
    for side, sign in (("right", 1), ("left", -1)):
        assert found[f"{side}_across"][0, 0] > found[f"{side}_across"][-1, 0]
        assert (sign * found[f"{side}_through"] > 0).all()
        # the sheepsfoot's spine comes down at the tip, so the mask is empty in the picture's upper tip corner
        corner = found[f"{side}_mask"][5, -5 if side == "right" else 5]
        assert not corner
    thin = np.abs(found["right_through"][-2, 200]), np.abs(found["right_through"][5, 200])
    assert thin[0] < thin[1]


def test_dividers_along(make):
    """The picture stands across the can: columns across, top row at +through; the section shows it so."""
    job = make(
        marked(220, 150, 24),
        pattern={"dividers": "along"},
        powders=POWDERS,
        can=CAN,
        forging=[{"step": "consolidate"}],
        blade={"thickness": 26, "outline": {"shape": "sheepsfoot", "length": 60, "height": 30}},
        grind={"right": {"height": 2}},
    )
    section = preview(job, width=200).section(20.0, px_per_mm=8)
    grey = section.rgb[16:-16, 40:-16].min(axis=-1)
    np.testing.assert_array_equal(letter_in(grey > 120), F)
    assert section.across[0] < 0 < section.across[-1]
    # on a face, the letter's columns run from edge to spine, whatever the place along the blade
    found = fields(job, px_per_mm=4)
    up = found["right_can_up"][40]
    assert (up > 0).all()
    assert (found["left_can_up"][40] < 0).all()


def test_trace_agrees_with_fields_and_with_itself(through):
    found = fields(through, px_per_mm=1)
    mask = found["left_mask"]
    blade = np.stack([found[f"left_{n}"][mask] for n in ("along", "across", "through")], axis=1)
    can = np.stack([found[f"left_{n}"][mask] for n in ("can_along", "can_across", "can_up")], axis=1)
    traced = trace(through, blade)
    assert np.abs(traced - can).max() < 0.005
    np.testing.assert_allclose(trace(through, traced, reverse=True), blade, atol=1e-9)
    # a grain nearer the tip end, the spine side and the press's upper die stays so
    steps = trace(through, np.array([[60.0, 17, 0], [70.0, 17, 0], [60.0, 20, 0], [60.0, 17, 1]]))
    assert (np.diag(steps[1:] - steps[0]) > 0).all()


@pytest.mark.parametrize(
    ("laid", "expected"),
    [
        ({"turned": True}, F[::-1, ::-1]),
        ({"mirrored": True}, F[:, ::-1]),
        ({"turned": True, "mirrored": True}, F[::-1]),
    ],
)
def test_a_bar_laid_otherwise_shows_the_letter_otherwise(through, laid, expected):
    blade = through.blade.model_copy(update={"placement": Placement(**laid)})
    job = through.model_copy(update={"blade": blade})
    found = fields(job, px_per_mm=4)
    np.testing.assert_array_equal(letter_in(found["right_powder"] == 1), expected)
    np.testing.assert_array_equal(letter_in(found["left_powder"] == 1), expected[:, ::-1])
    places = np.array([[20.0, 8.0, 0.5], [90.0, 30.0, -1.0]])
    np.testing.assert_allclose(trace(job, trace(job, places), reverse=True), places, atol=1e-6)
    shown = preview(uncut(job), px_per_mm=4)
    drawn = on_bar(shown.view("right"), job)
    along, across = blade.outline.profile.T
    right, down = shown.view("right").size
    back = [shown.view("right").from_picture(x / 4 / right, y / 4 / down) for x, y in drawn.tolist()]
    in_bar = np.array(back) - np.array(job.history.bar.size[:2]) / 2
    expected_places = np.stack(blade.blade_to_bar(along, across, 0 * along, job.history.bar), axis=1)[:, :2]
    np.testing.assert_allclose(in_bar, expected_places, atol=0.5)
