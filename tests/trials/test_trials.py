"""Trials: the numbers of previews of the same grinds, an order that steel allows, a map that adds up."""

from __future__ import annotations

import io
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import RequestError
from preview.blade.grinds import Convex, Flat, Hollow, Unground
from preview.pipeline import preview
from preview.trials.ladder import LEGEND, find_ladder, find_taken
from preview.trials.trial_sheet import animation
from preview.trials.trials import TrialGrinds, coming_down, try_grinds


def test_a_trial_says_what_a_preview_of_it_says(heights):
    for trial in heights:
        shown = preview(trial.job, width=500)
        np.testing.assert_array_equal(trial.picture, shown.pictures[0])
        assert trial.numbers == shown.numbers.right
        assert trial.finest == pytest.approx(shown.numbers.finest["nickel"])
        assert trial.motif_off == pytest.approx(shown.numbers.motif_off)
    assert heights[1].numbers.stations[1].height == pytest.approx(24)


def test_angles_kinds_and_faces(job):
    five, eight = try_grinds(job, TrialGrinds(angles=(5, 8)), width=300).trials
    assert five.numbers.stations[1].angle == pytest.approx(5)
    assert five.ground_off > eight.ground_off  # a flatter bevel goes higher up
    kinds = try_grinds(job, TrialGrinds(kinds=("convex", "hollow", "flat"), face="left"), width=300).trials
    assert [trial.job.grind.bevel("left").kind for trial in kinds] == ["convex", "hollow", "flat"]
    assert find_ladder(kinds).rungs == (0, 2, 1)  # a hollow takes what a flat leaves, a flat what a convex leaves


def test_ground_off_by_hand(job):
    """Straight edge and spine, plain flat bevel of height h: a wedge of half h times the rise, along the blade."""
    outline = job.blade.outline.model_copy(update={"shape": "sheepsfoot", "point": 1e-3, "ricasso": 0.0, "choil": 0.0})
    blade = job.blade.model_copy(update={"outline": outline})
    bevel = Flat(height=12.0)
    grind = job.grind.model_copy(update={"heel_flat": 0.0, "right": bevel})
    (trial,) = try_grinds(
        job.model_copy(update={"blade": blade, "grind": grind}), TrialGrinds(heights=(12,)), width=900
    ).trials
    rise = (4.2 - 0.5) / 2
    assert trial.ground_off == pytest.approx(0.5 * 12 * rise * 130 / 1000 * 7.85, rel=0.01)


def test_the_ladder_goes_down_only(job, heights):
    found = find_ladder(heights)
    assert found.rungs == (0, 2, 1)
    assert found.open_after == ((2, 1), (), (1,))
    assert found.off == ()
    words = found.lines()
    assert "8 mm, then 14 mm, then 24 mm" in words[0]
    # a low, deep hollow and a high flat: neither can follow the other
    hollow = Hollow(height=14, wheel_diameter=120)
    low = job.model_copy(update={"grind": job.grind.model_copy(update={"right": hollow})})
    higher = try_grinds(job, TrialGrinds(heights=(28,)), width=500).trials
    mixed = (*try_grinds(low, TrialGrinds(kinds=("hollow",)), width=500).trials, *heights, *higher)
    found = find_ladder(mixed)
    assert found.rungs == (1, 3, 2, 4)
    assert found.off == (0,)
    assert any("hollow is off this ladder: it closes the way to" in line for line in found.lines())
    stands = [mixed[rung].face.stand for rung in found.rungs]
    for first, then in pairwise(stands):
        assert (then - first)[mixed[0].face.grid.mask].max() <= 1e-4


def test_what_is_taken_adds_up(heights):
    low, deep = heights[0], heights[1]
    found = find_taken(low, deep)
    area = low.face.grid.mask.sum() / low.face.grid.px_per_mm**2
    before, after = (trial.numbers.bright_share * area for trial in (low, deep))
    assert after - before == pytest.approx(found.gained - found.lost, abs=0.02 * area)
    assert found.lost > 10
    assert found.ground_off == pytest.approx(deep.ground_off - low.ground_off)
    orange = (found.rgb == LEGEND["bright that goes"]).all(axis=2).sum() / low.face.grid.px_per_mm**2
    assert orange == pytest.approx(found.lost, rel=0.1)
    assert found.picture().shape[1] == found.rgb.shape[1]
    assert "From 8 mm to 24 mm" in found.words()
    same = find_taken(low, low)
    assert same.lost == same.gained == 0


def test_the_bevel_comes_down(job):
    frames = coming_down(job, frames=5, width=300)
    assert len(frames) == 5
    np.testing.assert_array_equal(frames[-1], preview(job, width=300).pictures[0])
    for kind in ("WEBP", "GIF"):
        with Image.open(io.BytesIO(animation(frames, kind))) as moving:
            assert moving.n_frames == 5
    convex = Convex(height=16.0, sag=0.2)
    assert (
        len(coming_down(job.model_copy(update={"grind": job.grind.model_copy(update={"right": convex})}), frames=4))
        == 4
    )


def test_a_grind_that_cannot_be_is_left_out_and_said_why(job):
    tried = try_grinds(job, TrialGrinds(heights=(10, 99)), width=300)
    assert [str(trial.name) for trial in tried.trials] == ["10 mm"]
    (line,) = map(str, tried.left_out)
    assert line.startswith("99 mm is left out: has to be at most the blade's height of")
    with pytest.raises(RequestError, match=r"heights\[1\]: 98 mm: has to be at most the blade's height"):
        try_grinds(job, TrialGrinds(heights=(99, 98)), width=300)
    flat = job.model_copy(update={"grind": job.grind.model_copy(update={"left": Unground()})})
    with pytest.raises(RequestError, match="left face is not ground"):
        try_grinds(flat, TrialGrinds(heights=(10,), face="left"), width=300)
