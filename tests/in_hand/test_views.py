"""Views of the blade: what lies before what, by hand; straight on, our own picture; evenly lit, the coupon's L*."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import binary_erosion

from preview.base.pictures import linear_luminance
from preview.in_hand.maps import steel_maps
from preview.in_hand.raster import seen_triangles
from preview.in_hand.solid import bodies_of
from preview.in_hand.views import FINER, GAP, VIEWS, WIDTH, Held, still
from preview.look.etch import lightness_of
from preview.sheets.view import save_view
from tests.in_hand.straight_on import seen_through, shown_at, wave

EYE = 480.0


def drawn(job, held, width, px_per_mm):
    maps = steel_maps(job, px_per_mm)
    return still(job, maps, bodies_of(job.ground, maps), held, width).astype(float)


@pytest.mark.parametrize("turned", [False, True])
def test_the_nearest_of_what_is_turned_to_the_eye_is_seen(turned):
    """Squares of 40 and of 10 mm, the small one 240 mm nearer to an eye at 480 mm, so that it seems twice as large."""
    square = np.array([(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)], dtype=float)
    places = np.concatenate([square * 5 + (0, 0, EYE / 2), square * 20])
    triangles = np.array([(0, 1, 2), (0, 2, 3), (4, 5, 6), (4, 6, 7)])
    if turned:
        triangles[:2] = triangles[:2, ::-1]  # the back of the small one
    seen = seen_triangles(places, triangles, EYE, 2.0, (100, 120))
    assert len(seen.at) == 80 * 80
    small = seen.at[seen.triangle < 2]
    assert len(small) == (0 if turned else 40 * 40)
    found = np.einsum("pc,pck->pk", seen.weights, places[triangles[seen.triangle]])
    row, column = np.divmod(seen.at, 120)
    flat = np.stack([column + 0.5 - 60, 50 - row - 0.5], axis=1) / 2
    np.testing.assert_allclose(found[:, :2] * EYE / (EYE - found[:, 2:]), flat, atol=1e-9)


@pytest.mark.parametrize("slope", [0.5, -2.0])
def test_places_on_a_slanting_triangle_are_told_as_the_eye_sees_them(slope):
    """The plane z = slope x meets the ray through (x', y', 0) where x = x' (EYE - z) / EYE."""
    x, y = np.array([(-60, -50), (70, -40), (5, 60)], dtype=float).T
    places = np.stack([x, y, slope * x], axis=1)
    seen = seen_triangles(places, np.array([(0, 1, 2)]), EYE, 1.0, (160, 200))
    assert len(seen.at) > 1000
    column = seen.at % 200 + 0.5 - 100
    found = seen.weights @ places
    np.testing.assert_allclose(found[:, 0], column * EYE / (EYE + slope * column), atol=1e-6)


@pytest.mark.usefixtures("_plain_light")
def test_straight_on_a_view_shows_our_own_picture(make, monkeypatch):
    """Within 1.5 grey levels of root mean square on all of the blade, as the browser's picture has to."""
    monkeypatch.setattr("preview.in_hand.shading.scratches", lambda shape, *_, **__: np.zeros(shape, dtype=np.float32))
    monkeypatch.setattr("preview.in_hand.shading.textures", lambda shape, *_: (np.ones(shape, np.float32),) * 2)
    monkeypatch.setattr("preview.in_hand.shading.STONES", 0.0)
    job = wave(make)
    outline = job.blade.outline
    room, width = 12, 770
    wide = outline.length + 2 * room
    held = Held(0, 0, 0, 0, 0, 0.5, 0.5, wide / outline.length, 330 / width)
    picture = drawn(job, held, width, 10.0)
    rows, columns = picture.shape[:2]
    along, across, span = seen_through(job, (rows * FINER, columns * FINER), room=room)
    assert span == pytest.approx(wide)
    parts = rows, FINER, columns, FINER
    ours = shown_at(job, 10.0, along, across).reshape(*parts, 3).mean(axis=(1, 3))
    on_blade = outline.contains(along, across).reshape(parts).all(axis=(1, 3))
    off = (picture - ours)[binary_erosion(on_blade, iterations=3)]
    assert np.sqrt((off**2).mean()) < 1.5


@pytest.mark.parametrize("pitch", [0, 30, -45])
def test_an_even_studio_shows_both_steels_at_their_lightness_however_it_is_held(make, pitch):
    """Within 1 of L*, CIE 15:2018; the median, scratches and grain being as random as they are."""
    job = make(
        light={"studio": "even"}, forging=[{"step": "consolidate"}],
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.0},
            {"name": "bright", "colours": ["white"], "nickel": 60.0},
        ],
        etch={"minutes": 600, "bright": 75, "dark": 30},
        can={"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
    )  # fmt: skip
    picture = drawn(job, Held(pitch, 20, 0, 0, 0, 0.4, 0.5, 0.5, 0.3), 300, 3.0)
    found = lightness_of(linear_luminance(picture.astype(np.uint8)))
    dark, bright = np.median(found[found < 45]), np.median(found[found > 62])
    assert (dark, bright) == pytest.approx((30, 75), abs=1)


@pytest.mark.slow
def test_each_view_shows_the_blade_before_the_ground(make, tmp_path):
    """Steel, wood and collar differ from the stone, which is nearly even; all of it on one picture."""
    save_view(make(), tmp_path / "views.png")
    picture = np.asarray(Image.open(tmp_path / "views.png"), dtype=float)
    assert picture.shape[1] == WIDTH
    large = round(WIDTH * VIEWS["From above the spine"].form)
    for view in (picture[:large], picture[large + GAP :, :300], picture[large + GAP :, -900:]):
        even = np.median(view)
        assert 0.01 < (np.abs(view - even).max(axis=2) > 40).mean() < 0.7
