"""Where the grind line runs, against the motif laid by hand; and what is told once of all trials."""

from __future__ import annotations

import numpy as np
import pytest

from preview.pipeline import face_map
from preview.trials.apart import apart_lines, rows_apart
from preview.trials.grind_line import Crossing, draw_line, find_crossing, over_line
from preview.trials.trials import TrialGrinds, try_grinds

KINDS = (
    {"kind": "flat"}, {"kind": "hollow", "wheel_diameter": 900}, {"kind": "convex"},
    {"kind": "compound", "edge_angle": 20},
)  # fmt: skip


@pytest.fixture
def banded(make):
    """Return a maker of a square blade, 80 by 24 mm, with a bright band 2 mm high, its middle 12 mm from the edge.

    The bar is only welded, so that the band lies as it was laid where the face is flat, and as near as the blade is
    thin to it on a bevel.
    """
    picture = np.zeros((400, 1200), dtype=bool)
    picture[190:210, 300:900] = True

    def made(**bevel):
        return make(
            picture,
            can={"length": 120, "width": 40, "height": 12, "wall": 0, "fill_density": 0.6},
            forging=[{"step": "consolidate"}],
            blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 80, "height": 24, "tang": 0}},
            grind={"right": bevel},
        )

    return made


@pytest.mark.parametrize("bevel", KINDS, ids=lambda bevel: bevel["kind"])
def test_a_band_lies_above_on_and_below_the_line(banded, bevel):
    found = []
    for height in (8.0, 12.0, 16.0):
        job = banded(height=height, **bevel)
        found.append(find_crossing(job.ground, face_map(job, "right", 6.0), job.bright_powders))
    low, middle, high = found
    assert (low.above, low.below, low.on) == (1, 0, ())
    assert (high.above, high.below, high.on) == (0, 1, ())
    assert low.near == pytest.approx(3, abs=0.2)
    assert high.near == pytest.approx(3, abs=0.2)
    ((length, tall, above),) = middle.on
    assert (length, tall) == pytest.approx((60, 2), abs=0.4)
    assert above == pytest.approx(0.5, abs=0.1)
    assert low.words() == f"clear of the bright part by {low.near:.1f} mm: 1 above it, 0 below"
    assert middle.words().startswith("crosses one bright part (60 x 2 mm, ")


def test_words_where_the_line_has_nothing_to_cross():
    assert Crossing(0, 0, (), np.inf).words() == "past no bright part"
    assert Crossing(2, 0, (), np.inf).words() == "clear of the bright parts: 2 above it, 0 below"


def test_the_line_is_drawn_where_the_bevel_ends(banded):
    job = banded(kind="flat", height=10.0)
    face = face_map(job, "right", 6.0)
    drawn = draw_line(np.zeros((*face.grid.shape, 3), dtype=np.uint8), job.ground, face, (255, 255, 255))[..., 0]
    over, _ = over_line(job.ground, face)
    assert np.abs(over[drawn > 128]).max() < 0.25
    assert (drawn.max(axis=0) > 128).mean() > 0.9
    column = drawn[:, face.grid.shape[1] // 2].astype(float)
    at = float((column * face.grid.across[:, 0]).sum() / column.sum())
    assert at == pytest.approx(10, abs=0.1)


def test_what_is_alike_in_all_is_told_once(heights):
    own, alike = rows_apart(heights)
    assert alike
    for rows, trial in zip(own, heights, strict=True):
        assert sorted(rows + alike) == sorted(trial.rows())
    lines = apart_lines(heights)
    assert [line.split(":")[0] for line in lines[1:4]] == ["8 mm", "24 mm", "14 mm"]
    assert lines[-1].startswith("Alike in all: ")
    assert rows_apart(heights[:1]) == ([heights[0].rows()], [])


def test_a_bevel_that_has_run_out_is_said_to_reach_the_spine(job):
    (trial,) = try_grinds(job, TrialGrinds(heights=(24,)), width=300).trials
    assert dict(trial.rows())["grind line, heel / middle / tip"] == "24.0 mm / 24.0 mm / to the spine"
