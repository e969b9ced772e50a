"""Another picture for a job: its proportions stay, and where it lies in the can."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from shapely import affinity, union_all
from skimage.transform import AffineTransform, warp

from preview.base.errors import FileError, JobError
from preview.filling.dividers import Printing, dividers
from preview.filling.fill import fill
from preview.job.checks import check_job, own_size
from preview.job.file import dump_job, load_job, parse_job
from preview.job.picture import exchange_picture, fit_picture
from preview.pattern.pattern import box_of, fitted_size, round_down
from preview.pipeline import laid_raster, preview
from tests.conftest import DEMOS


def an_f(height=30, width=24):
    """Return an F, which is like itself in no other place or turn."""
    picture = np.zeros((height, width), dtype=bool)
    picture[4:26, 5:9] = picture[4:8, 5:19] = picture[13:17, 5:15] = True
    return picture


@pytest.mark.parametrize("turn", [0, 90, 30, -135])
@pytest.mark.parametrize("pixels", [(300, 100), (100, 300), (50, 50)])
def test_a_fitted_picture_keeps_its_proportions_and_touches_the_can(pixels, turn):
    size = fitted_size(pixels, (75.0, 26.0), turn)
    assert size[0] / size[1] == pytest.approx(pixels[0] / pixels[1])
    spare = np.subtract((75.0, 26.0), box_of(size, turn))
    assert spare.min() == pytest.approx(0, abs=1e-9)
    assert spare.max() >= -1e-9


def test_a_fitted_job_shows_its_picture_in_its_own_proportions(make):
    job = make(np.zeros((20, 60), dtype=bool), pattern={"size": (15, 15), "turn": 30})
    for run in ("through", "along"):
        pattern = job.pattern.model_copy(update={"dividers": run})
        fitted = fit_picture(job.model_copy(update={"pattern": pattern}))
        assert fitted.pattern.size[0] / fitted.pattern.size[1] == pytest.approx(3, rel=0.02)
        assert np.isclose(fitted.pattern.size, fitted.pattern_area).any()
        assert not fitted.pattern.placed


def test_an_exchanged_picture_is_not_squashed_and_all_else_stays(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    Image.fromarray(an_f()).save(tmp_path / "f.png")
    fresh = exchange_picture(job, tmp_path / "f.png", tmp_path / "own")
    assert fresh.picture_path == tmp_path / "own" / "f.png"
    assert fresh.pattern.size == pytest.approx((job.can.width * 24 / 30, job.can.width), abs=0.1)
    assert fresh.pattern.surround is None
    assert fresh.model_copy(update={"pattern": job.pattern, "folder": job.folder}) == job
    share = laid_raster(fresh).share_of(("nickel",)).sum() * np.prod(laid_raster(fresh).cell)
    assert share == pytest.approx(an_f().sum() * (job.can.width / 30) ** 2, rel=1e-3)
    preview(fresh, width=100)


def test_an_exchanged_picture_stands_upright_by_its_mark(make, tmp_path):
    """EXIF orientation 6 (JEITA CP-3451): the first row is the right-hand side."""
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(np.uint8(255 * an_f())).save(tmp_path / "f.jpg", exif=exif)
    width, height = exchange_picture(make(), tmp_path / "f.jpg", tmp_path / "own").pattern.size
    assert width / height == pytest.approx(30 / 24, rel=0.01)


@pytest.mark.parametrize("pixels", [(700, 499), (333, 1000), (1999, 9), (41, 41)])
def test_sizes_that_the_program_chooses_are_tenths_and_fit(make, tmp_path, pixels):
    Image.fromarray(np.zeros(pixels[::-1], np.uint8)).save(tmp_path / "f.png")
    job = exchange_picture(make(), tmp_path / "f.png", tmp_path / "own")
    sizes = [job.pattern.size, fit_picture(job).pattern.size, round_down(fitted_size(pixels, job.pattern_area))]
    assert all(round(side, 1) == side for size in sizes for side in size)
    spare = np.subtract(job.pattern_area, sizes[0])
    assert 0 <= spare.min() < 0.1 + 1e-9
    check_job(job)


def test_a_drawing_keeps_its_own_size_where_there_is_room(make, tmp_path):
    def exchanged(width, height):
        size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
        (tmp_path / "d.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {size}><circle r="5"/></svg>')
        return exchange_picture(make(), tmp_path / "d.svg", tmp_path / "own")

    job = exchanged(20, 10)
    assert job.pattern.size is None
    assert own_size(job) == pytest.approx((20, 10))
    assert fit_picture(job).pattern.size == pytest.approx((20, 10))
    large = exchanged(150, 10)
    assert large.pattern.size == pytest.approx((75, 5))
    with pytest.raises(JobError, match="drawing is 150 x 10 mm, and the can's inside has only 75 x 26 mm"):
        check_job(large.model_copy(update={"pattern": large.pattern.model_copy(update={"size": None})}))
    assert own_size(make()) is None


def test_what_is_no_picture_changes_nothing(make, tmp_path):
    (tmp_path / "f.png").write_text("no picture")
    with pytest.raises(FileError, match="not a picture"):
        exchange_picture(make(), tmp_path / "f.png", tmp_path / "own")
    assert not (tmp_path / "own").exists()


def test_a_moved_and_turned_picture_lies_as_scikit_image_lays_it(make):
    job = make(an_f(), pattern={"size": [12, 15], "at": [-20, 3], "turn": 30})
    raster = laid_raster(job)
    wide, high = raster.cell
    rows, columns = (count - 2 for count in raster.shares.shape[1:])
    assert (columns * wide, rows * high) == pytest.approx((75, 26))
    # pixels of the picture, 0.5 mm each, from its middle; turned clockwise there, as rows run down; to the can's cells
    to_can = (
        AffineTransform(translation=(-11.5, -14.5))
        + AffineTransform(scale=0.5)
        + AffineTransform(rotation=-np.radians(30))
        + AffineTransform(translation=(-20, -3))
        + AffineTransform(scale=(1 / wide, 1 / high))
        + AffineTransform(translation=((columns - 1) / 2, (rows - 1) / 2))
    )
    expected = warp(an_f().astype(float), to_can.inverse, output_shape=(rows, columns), order=1)
    np.testing.assert_allclose(raster.share_of(("nickel",))[1:-1, 1:-1], expected, atol=1e-4)
    np.testing.assert_allclose(raster.shares.sum(axis=0), 1, atol=1e-5)


def test_its_dividers_go_with_it(make):
    """Walls of the picture where it was, moved and turned by shapely."""
    placed = {"size": [12, 15], "at": [-20, 3], "turn": 90}
    walls = []
    for pattern in ({"size": [12, 15]}, placed):
        job = make(an_f(), pattern=pattern)
        found = dividers(laid_raster(job), job.pattern_area, job.divider_depth, Printing())
        walls.append(union_all(found.parts))
    there = affinity.translate(affinity.rotate(walls[0], 90, origin=(0, 0)), -20, 3)
    assert walls[1].symmetric_difference(there).area < 0.12 * there.area
    assert walls[1].hausdorff_distance(there) < 0.5


def test_its_powder_weighs_the_same_wherever_it_lies(make):
    grams = []
    for pattern in ({"size": [12, 15]}, {"size": [12, 15], "at": [25, -3], "turn": 20}):
        fills = fill(make(an_f(), pattern=pattern), 0).fills
        grams.append([each.grams for each in fills])
    assert grams[1] == pytest.approx(grams[0], rel=2e-3)


def test_a_full_turn_is_none(make):
    shares = [
        laid_raster(make(an_f(), pattern={"size": [12, 15], "at": [5, 0], "turn": turn})).shares for turn in (0, 360)
    ]
    np.testing.assert_allclose(*shares, atol=1e-5)


def test_a_fine_picture_in_a_large_can_keeps_its_share(make):
    """Stripes far finer than the can's raster come out as their mean, not as a moire of it."""
    stripes = np.zeros((1500, 1500), dtype=bool)
    stripes[:, ::2] = True
    raster = laid_raster(make(stripes, pattern={"size": [15, 15], "at": [5, 0]}))
    assert raster.shares[0].size < 3.3e6
    middle = raster.share_of(("nickel",))[raster.shares.shape[1] // 2]
    inside = slice(int(len(middle) * 0.5), int(len(middle) * 0.6))
    assert middle[inside].std() < 0.15
    assert middle[inside].mean() == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(
    ("pattern", "where", "words"),
    [
        ({"at": [1, 0]}, "pattern.size", "is needed for a picture that is moved or turned"),
        ({"turn": 90}, "pattern.size", "is needed"),
        ({"size": [40, 20], "turn": 90}, "pattern.size", "turned, is 40 mm high, .* only 26 mm"),
        ({"size": [40, 20], "at": [18, 0]}, "pattern.at", "17.5 mm is as far rightwards .*given 18 mm"),
        ({"size": [40, 20], "at": [0, -4]}, "pattern.at", "-3 mm is as far upwards .*given -4 mm"),
    ],
)
def test_a_picture_that_does_not_fit(make, pattern, where, words):
    with pytest.raises(JobError, match=words) as caught:
        make(an_f(), pattern=pattern)
    assert [fault.where for fault in caught.value.faults] == [where]


def test_a_place_is_kept_in_the_job_file(make):
    job = make(an_f(), pattern={"size": [12, 15], "at": ["1 in", -2], "turn": "30 deg"})
    assert job.pattern.at == (25.4, -2)
    assert parse_job(dump_job(job), job.folder) == job
