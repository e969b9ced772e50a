"""Line widths of patterns whose shares are counted by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt, gaussian_filter

from preview.pattern.fineness import LADDER, fineness, share_below, too_fine
from preview.pattern.narrow import too_narrow
from preview.pattern.raster import Cells, Raster

CELL = 0.1


def striped(*widths: float, room: float = 2.0) -> Raster:
    """A raster of upright bright lines of ``widths`` (mm), ``room`` between; all as long."""
    dark = np.zeros(round(room / CELL))
    row = np.concatenate([dark, *(np.concatenate([np.ones(round(width / CELL)), dark]) for width in widths)])
    bright = np.tile(row, (300, 1)).astype(np.float32)
    return Raster(Cells(("dark", "bright"), np.stack([1 - bright, bright])), (CELL, CELL), 0.0, ())


@pytest.mark.parametrize(("wide", "finest"), [(28.0, 4.0), (24.0, 0.5)])
def test_the_finest_width_has_a_fiftieth_of_the_area_below_it(wide, finest):
    """0.5 mm of line beside 28 mm in lines of 4 mm is 1.75 per cent of the area, beside 24 mm 2.04 per cent."""
    raster = striped(0.5, *[4.0] * round(wide / 4))
    assert share_below(raster, "bright", (1.0, 1.0), 2.0) == pytest.approx(0.5 / (wide + 0.5), rel=1e-3)
    assert fineness(raster, "bright", (1.0, 1.0), 2.0)[0] == pytest.approx(finest, rel=0.16)


def test_stretch_counts():
    """Twice as wide on the blade as in the can, but as long: 0.6 mm becomes 1.2 mm."""
    raster = striped(0.6, 0.6, 0.6)
    for scale, width in (((1.0, 1.0), 0.6), ((2.0, 1.0), 1.2), ((1.0, 2.0), 0.6)):
        assert fineness(raster, "bright", scale, 0.3)[0] == pytest.approx(width, rel=0.16)
        assert share_below(raster, "bright", scale, 0.8 * width) == 0
        assert share_below(raster, "bright", scale, 1.25 * width) == 1


def test_which_lines_are_too_fine():
    raster = striped(0.5, 4.0)
    fine = too_fine(raster, "bright", (1.0, 1.0), 1.0)[1:-1, 1:-1]
    bright = raster.shares[1] > 0.5
    np.testing.assert_array_equal(fine[:, :30], bright[:, :30])
    assert bright[:, :30].any()
    assert not fine[:, 30:].any()


def test_a_powder_that_is_all_or_nothing_has_no_width():
    raster = Raster(Cells(("dark", "bright"), np.stack([np.ones((20, 20)), np.zeros((20, 20))])), (CELL, CELL), 0.0, ())
    for name in ("dark", "bright"):
        assert fineness(raster, name, (1.0, 1.0), 1.0) == (LADDER[-1], 0.0)


@pytest.mark.parametrize("seed", range(8))
def test_narrow_is_what_distances_say(seed):
    """By scipy's distance transforms: too narrow is what lies further than a disc's reach from where the disc fits."""
    rng = np.random.default_rng(seed)
    member = gaussian_filter(rng.standard_normal((40 + 9 * seed, 70)), 2.0) > 0
    cell, width = tuple(rng.uniform(0.05, 0.3, 2)), rng.uniform(0.1, 2.0)
    core = distance_transform_edt(member, cell[::-1]) >= width / 2 + min(cell) / 4
    away = distance_transform_edt(~core, cell[::-1]) > width / 2 + min(cell) / 2 if core.any() else ~core
    np.testing.assert_array_equal(too_narrow(member, width, cell), member & away)
