"""The bar's faces before the blade is cut."""

from __future__ import annotations

import json

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.blade.grind import SIDES
from preview.face.view import View
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.pipeline import face_map, fields, trace
from preview.sheets.uncut_files import UNCUT_FILES, on_bar, render_uncut
from tests.conftest import DEMOS
from tests.support.pdf import paths, words


@pytest.fixture(scope="module")
def running_wave():
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="module")
def plain():
    return load_job(DEMOS / "plain_start.toml")


def test_a_flat_of_the_blade_shows_what_the_bar_shows_there(plain):
    """A blade as thick as the bar has its unground face where the bar's is: the same powders at the same places."""
    thick = plain.model_copy(update={"blade": plain.blade.model_copy(update={"thickness": None})})
    bar = thick.history.bar
    heel, edge, _ = thick.blade.corner(bar)
    places = np.array([(along, 34.0) for along in np.linspace(5, 100, 30)])  # above the grind line
    line = thick.ground.bevel("right", places[:, 0]).height
    assert (line < 34).all() or thick.grind.right.height == "full"
    for side in SIDES:
        stand = thick.ground.stand(side, places[:, 0], places[:, 1])
        sign = 1 if side == "right" else -1
        on_blade = trace(thick, np.stack([*places.T, sign * stand], axis=1))
        of_bar = uncut(thick)
        moved = places + np.array([heel + bar.length / 2, edge + bar.width / 2])
        on_uncut = trace(of_bar, np.stack([*moved.T, sign * stand], axis=1))
        assert np.allclose(on_blade, on_uncut, atol=1e-9, equal_nan=True)


def test_both_faces_are_flat_and_as_large_as_the_bar(plain):
    bar = uncut(plain)
    size = plain.history.bar.size
    for side in SIDES:
        face = face_map(bar, side, 2.0)
        assert face.grid.shape == (np.ceil(size[1] * 2), np.ceil(size[0] * 2))
        assert np.allclose(face.stand, size[2] / 2)
    arrays = fields(bar, 2.0)
    assert arrays["right_along"].max() == pytest.approx(size[0], abs=0.3)
    assert (arrays["right_normal"][..., 2][arrays["right_mask"]] > 0.999).all()


def heel_of(job):
    """Return how far the blade's heel lies from the bar's heel end, mm: blade and tang lie in its middle."""
    outline = job.blade.outline
    return (job.history.bar.length - outline.length - outline.tang) / 2 + outline.tang


def test_the_outline_lies_where_the_blade_does(plain):
    """Worked by hand from the bar's and the blade's sizes; the tang's outline belongs to it."""
    bar = plain.history.bar
    view = View.of("left", uncut(plain).blade, 10.0)
    line = on_bar(view, plain)
    (_, _), (left, _) = view.rim
    tang = plain.blade.outline.tang
    assert line[:, 0].max() == pytest.approx(left + np.ceil(10 * bar.length) - 10 * (heel_of(plain) - tang), abs=1)
    assert np.ptp(line[:, 0]) == pytest.approx(10 * (plain.blade.outline.length + tang))


def test_the_bar_can_be_seen_after_any_step_that_leaves_it_solid(plain):
    assert uncut(plain, 2).history.bar.thickness == pytest.approx(6.5, abs=0.3)
    with pytest.raises(RequestError, match="from 1 to 3"):
        uncut(plain, 4)


def test_files(plain, tmp_path):
    render_uncut(plain, tmp_path, px_per_mm=2)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(UNCUT_FILES)
    told = json.loads((tmp_path / "bar.json").read_text())
    assert 0 < told["right"]["bright_share"] < 1
    assert f"Blade's heel from the bar's heel end   {heel_of(plain):.1f} mm" in (tmp_path / "bar.txt").read_text()


def test_the_shop_sheet_shows_the_bar_at_true_size(shop, running_wave):
    """The last page: each face's outline as long and as high as the blade."""
    outline = running_wave.blade.outline
    boxes = [(right - left, top - low) for left, low, right, top in paths(shop, 3)]
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    assert sum(box == near for box in boxes) == 2
    assert "this bar is 50 mm" in " ".join(words(shop).split()).rpartition("middle lines")[2]
