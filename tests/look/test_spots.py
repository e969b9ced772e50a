"""From a spot of a picture to its grain in the can, and back."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.job.file import load_job
from preview.look.spots import Spots
from preview.pipeline import find_origins, preview, trace
from tests.conftest import DEMOS, without_tang


def spots_of(job) -> Spots:
    return Spots(find_origins(job), job.powders, job.etching)


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_spot_goes_there_and_back(side):
    job = load_job(DEMOS / "marsh_moon.toml")
    spot = spots_of(job).of_face(side, 0.42, 0.55)
    assert np.allclose(trace(job, [spot.blade])[0], spot.can)
    assert spots_of(job).place_on_face(spot) == pytest.approx((0.42, 0.55))
    found = {each.side: each for each in spots_of(job).of_can(*spots_of(job).place_in_can(spot))}
    assert set(found) == {"right", "left"}  # the column comes out on both
    assert found[side].blade == pytest.approx(spot.blade, abs=0.02)
    assert "mm from the heel" in spot.words(METRIC)
    assert spots_of(job).of_face(side, 0.0, 0.0) is None
    assert spots_of(job).of_can(0.001, 0.001) == ()


def test_a_spot_names_its_powder():
    job = without_tang(load_job(DEMOS / "marsh_moon.toml"))
    shown = preview(job, width=800)
    grey = shown.pictures[0][..., 1]
    rows, columns = np.nonzero(grey > 175)
    inside = (grey.shape[1] * 0.2 < columns) & (columns < grey.shape[1] * 0.4) & (grey.shape[0] * 0.3 < rows)
    inside &= rows < grey.shape[0] * 0.7
    row, column = rows[inside][0] + 1, columns[inside][0] + 2
    assert (
        spots_of(job).of_face("right", (column + 0.5) / grey.shape[1], (row + 0.5) / grey.shape[0]).powder == "nickel"
    )


def test_spots_of_dividers_along():
    job = without_tang(load_job(DEMOS / "along_the_bar.toml"))
    length = job.blade.outline.length
    spot = spots_of(job).of_face("right", 0.5, 0.5)
    assert spot.blade[0] == pytest.approx(length / 2, abs=1.0)
    (found,) = [each for each in spots_of(job).of_can(*spots_of(job).place_in_can(spot)) if each.side == "right"]
    assert found.blade[1] == pytest.approx(spot.blade[1], abs=0.2)


def test_pictures_of_the_can_and_marks():
    job = load_job(DEMOS / "marsh_moon.toml")
    picture = spots_of(job).can_picture()
    width, height = job.pattern_area
    assert picture.shape[1] / picture.shape[0] == pytest.approx(width / height, rel=0.01)
    ringed = Spots.marked(picture, ((0.5, 0.5),))
    assert (ringed != picture[..., None]).any(axis=2).mean() < 0.01
    assert (ringed != picture[..., None]).any()


@pytest.mark.parametrize(("deeper", "shown"), [(0.2, True), (1.0, False)])
def test_a_grain_under_the_face_does_not_show(deeper, shown):
    """On an even flat near the spine a line along the blade has to pass within 0.3 mm of a grain to show it."""
    job = without_tang(load_job(DEMOS / "along_the_bar.toml"))
    job = job.model_copy(update={"blade": job.blade.model_copy(update={"tip_thickness": None})})
    spot = spots_of(job).of_face("right", 0.5, 0.2)
    across, down = spots_of(job).place_in_can(spot)
    found = spots_of(job).of_can(across, down + deeper / job.pattern_area[1])
    assert [each.side for each in found] == (["right"] if shown else [])
