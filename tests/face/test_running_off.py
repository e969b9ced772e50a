"""Where figures run off the blade, against places worked out from the outline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.face.running_off import running_off
from preview.job.file import load_job
from preview.pipeline import face_maps
from preview.sheets.report import off_words
from tests.conftest import DEMOS

AT = 4.0


@pytest.fixture(scope="module")
def face():
    return face_maps(load_job(DEMOS / "running_wave.toml"), AT)[0]


def figured(face, figure):
    """Return a face that is bright where ``figure`` says so and nowhere else."""
    bright = figure.astype(np.float32)
    return replace(face, classes=("plain", "bright"), shares=(bright,), shell=None, lost=None)


def test_a_figure_that_the_edge_cuts_is_told_by_its_two_ends(face):
    along, distance = face.grid.along, face.grid.distance
    cut = (along > 40) & (along < 55) & (distance < 6)
    whole = (along > 70) & (along < 80) & (distance > 4) & (distance < 8)
    (found,) = running_off(figured(face, cut | whole), ("bright",))
    assert found.over == "edge"
    assert (found.start, found.end) == pytest.approx((40, 55), abs=1.5 / AT)
    assert found.rim == pytest.approx(15, abs=1.5 / AT)
    assert off_words((found,), METRIC) == "; figures are cut off at the edge 40 to 55 mm from the heel"


def test_spine_and_heel_are_told_apart_and_the_longest_cut_comes_first(face):
    along, across = face.grid.along, face.grid.across
    spine = face.view.outline.spine(along)
    over_spine = (along > 20) & (along < 50) & (across > spine - 5)
    middle = float(spine[0, 0]) / 2
    at_heel = (along < 6) & (np.abs(across - middle) < 3)
    found = running_off(figured(face, over_spine | at_heel), ("bright",))
    assert [each.over for each in found] == ["spine", "heel"]
    assert found[1].rim == pytest.approx(6, abs=1.5 / AT)
    assert off_words(found, METRIC).endswith("the heel")


def test_many_places_are_counted(face):
    along, distance = face.grid.along, face.grid.distance
    teeth = (along > 20) & (along < 80) & (distance < 3) & (along % 10 < 5)
    found = running_off(figured(face, teeth), ("bright",))
    assert len(found) == 6
    assert off_words(found, METRIC).endswith(", 3 places more")
    assert off_words((), METRIC) == ""
