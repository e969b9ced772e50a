"""What the page needs at hand: units, work that outlives a reload, spots, and plain pictures."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import FileError
from preview.base.units import METRIC, Units
from preview.job.file import load_job
from preview.job.work import MOST_KEPT, keep_work, new_work, reopen_work, work_folder
from preview.look.filmstrip import section_points
from preview.look.section import light_from
from preview.look.spots import marked
from preview.pipeline import (
    find_origins,
    find_spots,
    preview,
    step_pictures,
    surviving_lines,
    thickness_plot,
    trace,
)
from tests.conftest import DEMO_JOBS, DEMOS


def test_units_there_and_back():
    """An inch is 25.4 mm (ISO 80000-3); 1000 °C are 1832 °F."""
    inches, both = Units(sizes="inch"), Units(sizes="inch", heats="°F")
    assert inches.shown(25.4, "mm") == 1
    assert inches.kept(2.0, "mm") == pytest.approx(50.8)
    assert inches.shown(7.0, "") == 7
    assert both.shown(1000.0, "°C") == 1832
    assert both.kept(1832.0, "°C") == 1000
    assert Units().shown(3.0, "mm") == 3


def test_work_outlives_a_reload(tmp_path):
    name = new_work(tmp_path)
    folder = work_folder(tmp_path, name)
    assert reopen_work(folder) is None
    job = load_job(DEMOS / "three_steels.toml")
    keep_work(folder, job)
    again = reopen_work(folder)
    assert again == job.model_copy(update={"folder": folder})
    np.testing.assert_array_equal(preview(again, width=300).picture, preview(job, width=300).picture)
    keep_work(folder, again)


@pytest.mark.parametrize("name", ["", "../../etc", "0" * 24, "z" * 24])
def test_a_link_to_nothing(tmp_path, name):
    with pytest.raises(FileError, match="no longer kept"):
        work_folder(tmp_path, name)


def test_old_work_goes(tmp_path):
    import os

    names = [new_work(tmp_path) for _ in range(MOST_KEPT)]
    os.utime(tmp_path / names[7], (1, 1))
    (tmp_path / "not ours").mkdir()
    new_work(tmp_path)
    left = {path.name for path in tmp_path.iterdir()}
    assert names[7] not in left
    assert "not ours" in left
    assert len(left) == MOST_KEPT + 1


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_spot_goes_there_and_back(side):
    job = load_job(DEMOS / "marsh_moon.toml")
    spot = find_spots(job).of_face(side, 0.42, 0.55)
    assert np.allclose(trace(job, [spot.blade])[0], spot.can)
    assert find_spots(job).place_on_face(spot) == pytest.approx((0.42, 0.55))
    found = {each.side: each for each in find_spots(job).of_can(*find_spots(job).place_in_can(spot))}
    assert set(found) == {"right", "left"}  # the column comes out on both
    assert found[side].blade == pytest.approx(spot.blade, abs=0.02)
    assert "mm from the heel" in spot.words(METRIC)
    assert find_spots(job).of_face(side, 0.0, 0.0) is None
    assert find_spots(job).of_can(0.001, 0.001) == ()


def test_a_spot_names_its_powder():
    job = load_job(DEMOS / "marsh_moon.toml")
    shown = preview(job, width=800)
    grey = shown.pictures[0]
    rows, columns = np.nonzero(grey > 175)
    inside = (grey.shape[1] * 0.2 < columns) & (columns < grey.shape[1] * 0.4) & (grey.shape[0] * 0.3 < rows)
    inside &= rows < grey.shape[0] * 0.7
    row, column = rows[inside][0] + 1, columns[inside][0] + 2
    assert (
        find_spots(job).of_face("right", (column + 0.5) / grey.shape[1], (row + 0.5) / grey.shape[0]).powder == "nickel"
    )


def test_spots_of_dividers_along():
    job = load_job(DEMOS / "along_the_bar.toml")
    length = job.blade.outline.length
    spot = find_spots(job).of_face("right", 0.5, 0.5)
    assert spot.blade[0] == pytest.approx(length / 2, abs=1.0)
    (found,) = [each for each in find_spots(job).of_can(*find_spots(job).place_in_can(spot)) if each.side == "right"]
    assert found.blade[1] == pytest.approx(spot.blade[1], abs=0.2)


def test_pictures_of_the_can_and_marks():
    job = load_job(DEMOS / "marsh_moon.toml")
    picture = find_spots(job).can_picture()
    width, height = job.pattern_area
    assert picture.shape[1] / picture.shape[0] == pytest.approx(width / height, rel=0.01)
    ringed = marked(picture, ((0.5, 0.5),))
    assert (ringed != picture[..., None]).any(axis=2).mean() < 0.01
    assert (ringed != picture[..., None]).any()


@pytest.mark.parametrize("path", DEMO_JOBS, ids=lambda path: path.stem)
def test_the_filmstrip_shows_every_step(path):
    strip = step_pictures(load_job(path))
    assert strip.shape[1] == 1200
    assert strip.min() < 90
    assert (strip == 242).mean() > 0.2


def test_the_bright_share_of_a_section_is_that_of_the_can():
    """Sections of a prismatic history hold one share of each powder (conservation of area, dividers along)."""
    job = load_job(DEMOS / "along_the_bar.toml")
    origins = find_origins(job)
    shares = []
    for frame, bar in zip(job.history.frames[:3], job.history.bars[:3], strict=True):
        points = section_points(bar, 0.0)
        can = job.history.between(points, frame, "can")
        metal = job.history.start.contains(*np.moveaxis(np.nan_to_num(can, nan=1e9), -1, 0))
        light = light_from(origins, job.powders, job.etching, *np.moveaxis(np.where(metal[..., None], can, 0.0), -1, 0))
        shares.append((metal & (light > 0.3)).sum() / metal.sum())
    # what of the dark shell bulges beyond the picture is cut off
    assert shares[2] == pytest.approx(shares[1], rel=0.05)


def test_which_lines_survive():
    fine, share = surviving_lines(load_job(DEMOS / "fine_rain.toml"))
    found = preview(load_job(DEMOS / "fine_rain.toml"), px_per_mm=4).numbers
    assert share > 0.005
    assert max(found.unseen.values()) > 0.01
    orange = (fine[..., 0].astype(int) - fine[..., 2]) > 40
    half = fine.shape[1] // 2
    assert orange[:, half:].sum() > 10 * orange[:, :half].sum()  # lines grow finer towards the tip
    _, share = surviving_lines(load_job(DEMOS / "running_wave.toml"))
    assert share < 1e-4


def test_the_thickness_is_plotted():
    assert thickness_plot(load_job(DEMOS / "plain_start.toml"))[:8] == b"\x89PNG\r\n\x1a\n"
