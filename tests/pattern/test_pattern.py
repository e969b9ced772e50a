from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import map_coordinates
from skimage import data
from skimage.measure import find_contours
from skimage.transform import resize

from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN, Powder
from preview.pattern.raster import read_raster
from preview.pattern.sampler import Sampler
from preview.pipeline import face_map, find_origins

POWDERS = (PLAIN, NICKEL)


def raster(tmp_path, pixels: np.ndarray, inside=(100.0, 40.0), powders=POWDERS, **pattern):
    path = tmp_path / "p.png"
    Image.fromarray(pixels).save(path)
    return read_raster(path, Pattern(picture="p.png", **pattern), powders, inside)


def test_contour_area_of_a_known_picture(tmp_path):
    """scikit-image's horse: 43 412 dark pixels; its 0.5 contours enclose as much (outer less holes)."""
    horse = ~data.horse().astype(bool)
    found = raster(tmp_path, np.uint8(horse * 255), inside=(400.0, 328.0))
    share = found.shares[1]
    assert share.sum() == 43412
    enclosed = 0.0
    for contour in find_contours(share, 0.5):
        y, x = contour.T
        enclosed += 0.5 * np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])
    assert abs(enclosed) == pytest.approx(43412.0, abs=0.01)
    assert found.cell == (1.0, 1.0)


def test_soft_edges_are_no_stray_colours_but_red_is(tmp_path):
    soft = np.uint8(np.linspace(0, 255, 100)[None, :, None] * np.ones((40, 1, 3)))
    assert raster(tmp_path, soft).stray == 0
    soft[:10] = (220, 30, 30)
    found = raster(tmp_path, soft)
    assert found.stray == pytest.approx(0.25)
    assert any("25.0%" in str(note) for note in found.notes)


def test_a_soft_edge_lies_where_it_is_drawn(tmp_path):
    """A pixel that an edge halves holds half of each powder; a little noise is none; a third powder may lie between."""
    soft = np.zeros((10, 30), dtype=np.uint8)
    soft[:, 10], soft[:, 11:] = 128, 255
    shares = raster(tmp_path, soft).shares[:, 1:-1, 1:-1]
    assert shares[1, 0, 9:13] == pytest.approx([0, 0.5, 1, 1], abs=0.01)
    noisy = np.uint8(np.clip(soft.astype(int) + np.random.default_rng(1).integers(-8, 9, soft.shape), 0, 255))
    assert raster(tmp_path, noisy).shares[1, 1:-1, 1:10].max() == 0
    grey = (*POWDERS, Powder(name="grey", colours=("#808080",), nickel=1.0))
    soft[:, 10] = 64
    shares = raster(tmp_path, soft, powders=grey).shares[:, 1:-1, 1:-1]
    assert shares[:, 0, 10] == pytest.approx([0.5, 0, 0.5], abs=0.01)


def test_a_picture_of_blends_is_told(tmp_path):
    ramp = np.uint8(np.linspace(0, 255, 100)[None, :] * np.ones((40, 1)))
    assert any("mix of the two" in str(note) for note in raster(tmp_path, ramp).notes)


def test_three_powders_and_nearest_colour(tmp_path):
    powders = (*POWDERS, Powder(name="third", colours=("#808080", "#ff0000"), nickel=1.0))
    pixels = np.zeros((20, 40, 3), dtype=np.uint8)
    pixels[:, 10:20], pixels[:, 20:30], pixels[:, 30:] = 255, 125, (250, 10, 0)
    shares = raster(tmp_path, pixels, powders=powders).shares[:, 1:-1, 1:-1]
    assert shares.mean(axis=(1, 2)) == pytest.approx([0.25, 0.25, 0.5])
    assert (shares.sum(axis=0) == 1).all()


def test_clear_pixels_are_void_or_a_named_powder(tmp_path):
    pixels = np.zeros((20, 40, 4), dtype=np.uint8)
    pixels[:, :20, 3] = 255
    found = raster(tmp_path, pixels)
    assert found.classes == ("plain", "nickel", "void")
    assert found.shares[2].mean() == pytest.approx(0.5, abs=0.03)
    found = raster(tmp_path, pixels, transparent="nickel")
    assert found.classes == ("plain", "nickel")
    assert any("50.0%" in str(note) and "nickel" in str(note) for note in found.notes)


def test_a_smaller_picture_lies_in_the_middle_of_its_surround(tmp_path):
    white = np.full((40, 80, 3), 255, dtype=np.uint8)
    sampler = Sampler(raster(tmp_path, white, size=(40.0, 20.0), surround="plain"))
    first = np.array([0.0, 19.7, -19.7, 20.6, 45.0])
    share = np.zeros(5, dtype=np.float32)
    sampler.read(*sampler.positions(first, np.zeros(5)), (share,), 1.0)
    assert share == pytest.approx([1, 1, 1, 0, 0], abs=1e-6)


def test_rows_run_down_and_columns_right(tmp_path):
    pixels = np.zeros((40, 100, 3), dtype=np.uint8)
    pixels[:8, :20] = 255  # upper left: low along, high across
    sampler = Sampler(raster(tmp_path, pixels))
    share = np.zeros(4, dtype=np.float32)
    corners = np.array([-45.0, 45.0, -45.0, 45.0]), np.array([17.0, 17.0, -17.0, -17.0])
    sampler.read(*sampler.positions(*corners), (share,), 1.0)
    assert share.tolist() == [1, 0, 0, 0]


def test_stripes_read_as_scipy_does(tmp_path):
    """The mean of two samples aside, linear in between, off the raster too (`scipy.ndimage.map_coordinates`)."""
    rng = np.random.default_rng(3)
    sampler = Sampler(raster(tmp_path, np.where(rng.random((30, 40)) < 0.5, 0, 255).astype(np.uint8)))
    columns = np.linspace(-3, sampler.columns + 3, 50)[None, :] + np.array([[-0.3], [0.4]])
    row = (np.linspace(-2, sampler.rows + 2, 70)[:, None] + rng.random(50)).astype(np.float32)
    share = np.zeros(row.shape, dtype=np.float32)
    sampler.read_stripes(sampler.stripes(columns), row, (share,), 1.0)
    cells = sampler.raster.shares[1]
    read = [map_coordinates(cells, np.broadcast_arrays(row, each), order=1, mode="nearest") for each in columns]
    assert share == pytest.approx(np.mean(read, axis=0), abs=1e-4)


def test_a_huge_picture_is_averaged_down_and_keeps_its_share(tmp_path):
    blobs = data.binary_blobs(2400, 0.02, volume_fraction=0.3, rng=1)
    found = raster(tmp_path, np.uint8(blobs * 255), inside=(60.0, 60.0))
    assert found.shares[0].size <= 3_300_000
    assert found.shares[1, 1:-1, 1:-1].mean() == pytest.approx(blobs.mean(), abs=1e-4)


@pytest.mark.parametrize("period", [0.9, 1.6, 3.1])
def test_lines_finer_than_a_pixel_show_their_share_without_moire(make, period):
    """Lines ``period`` raster cells to the pixel: tone is their area share all over, to a few per cent.

    The reference is the same picture box-averaged by scikit-image; a single sample a pixel would beat against
    the lines from 0 to 1.
    """
    pixels_per_line = 8
    picture = np.zeros((1600, 400), dtype=bool)
    picture[(np.arange(1600) % pixels_per_line) < 3] = True
    job = make(
        picture,
        powders=[
            {"name": "plain", "colours": ["black"], "nickel": 0.1},
            {"name": "bright", "colours": ["white"], "nickel": 4.0},
        ],
        can={"length": 120, "width": 60, "height": 30, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 90, "height": 40}},
    )
    cells_per_mm = 1600 / 60
    face = face_map(job, "right", cells_per_mm / (pixels_per_line * period))
    seen = face.shares[0][3:-3, 3 : face.grid.shape[1] // 2]
    assert seen.mean() == pytest.approx(3 / 8, abs=0.01)
    # means over patches of some lines: the eye's view
    patches = resize(seen.astype(float), (6, 4), order=1, anti_aliasing=True)
    assert np.ptp(patches) < 0.06
    if period > 2:
        assert seen.std() < 0.14


def test_another_size_of_the_can_is_the_same_cells(tmp_path):
    path = tmp_path / "p.png"
    Image.fromarray(np.uint8(np.eye(20, 50) * 255)).save(path)

    def laid(inside: tuple[float, float], **pattern):
        return read_raster(path, Pattern(picture="p.png", **pattern), POWDERS, inside)

    one, other = laid((100.0, 40.0)), laid((90.0, 41.0))
    assert one.cells is other.cells
    assert other.cell == pytest.approx((90 / 50, 41 / 20))
    sizes = [laid((100.0, 40.0), size=size, surround="nickel") for size in ((60.0, 30.0), (50.0, 30.0))]
    assert sizes[0].cells is sizes[1].cells
    assert sizes[1].cell == pytest.approx((50 / 50, 30 / 20))
    assert sizes[0].cells is not one.cells


def test_a_small_change_of_the_can_and_the_heats_leaves_the_blur(make):
    heat = {"temperature": 1180, "minutes": 45.0}
    steps = [{"step": "consolidate", "heat": heat}, {"step": "press", "height": 6}]
    bars = np.zeros((1000, 2000), dtype=bool)
    bars[:, ::2] = True
    job = make(bars, forging=steps)
    longer = job.model_copy(update={"can": job.can.model_copy(update={"length": job.can.length + 0.02})})
    assert find_origins(job).sampler.raster.cells is not find_origins(job).laid.cells
    assert find_origins(job).sampler.raster.cells is find_origins(longer).sampler.raster.cells
    hotter = make(bars, forging=[{**steps[0], "heat": {**heat, "minutes": 90.0}}, steps[1]])
    assert find_origins(job).sampler.raster.cells is not find_origins(hotter).sampler.raster.cells


def test_a_changed_picture_is_read_again(make):
    job = make(np.zeros((20, 50), dtype=bool))
    assert find_origins(job).sampler.raster.shares[1].sum() == 0
    Image.new("L", (50, 20), 255).save(job.picture_path)
    import os

    os.utime(job.picture_path, ns=(1, 1))
    assert find_origins(job).sampler.raster.shares[1].mean() == 1
