"""Both faces of one bar put together."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.cli import main
from preview.forge.uncertain import Moves
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.seen.both import match_both
from preview.seen.camera import Pose
from preview.seen.fitting import Fit
from preview.seen.learning import kept_as_seen
from preview.seen.marks import by_marks
from preview.seen.match import Match, match
from preview.seen.match_files import MATCH_FILES, save_match
from preview.seen.verdict import Verdict
from preview.seen.ways import MARK_ERROR, Marked, face_of, find_ways, wander_of
from tests.conftest import DEMOS
from tests.support.steel_photo import Shot, photograph
from tests.support.steel_truth import across_lines

UNREAD = Fit(np.zeros(0), np.zeros((0, 0)), 0.0, 0.0, 0.0)
NOTHING: Any = None


@pytest.fixture(scope="module")
def faces():
    """Return a match of each face, by marks alone, each with its own camera."""
    job = uncut(load_job(DEMOS / "running_wave.toml"))
    moves = Moves.of(job, wander_of(job))
    found = []
    for side, tilt in (("right", 0.1), ("left", -0.05)):
        face = face_of(moves, job, side)
        values = np.array([tilt, -0.08, 0.05, 0.02, -0.01, np.log(350.0), np.log(0.8)])
        pose = Pose(values, np.diag([0.02, 0.03, 0.001, 0.001, 0.001, 0.05, 0.05]) ** 2, (2000, 1200))
        rng = np.random.default_rng(len(found))
        rows, cols = rng.integers(5, 45, 6), rng.integers(20, 600, 6)
        marked = Marked(rows, cols, rng.normal(0, 0.6, (2, 6)) + np.array([[3.0], [0.2]]))
        ways = replace(find_ways(moves, face, side, pose), marked=marked)
        fit = by_marks(ways, UNREAD)
        steel = np.where(ways.of_camera, 0, fit.weights)
        seen, error = kept_as_seen(job, "bar", face, ways, steel, fit.covariance)
        found.append(
            Match(
                job, side, "bar", NOTHING, pose, face, NOTHING, ways.field(steel), error, NOTHING, ways, fit,
                Verdict(True, ()), seen, (),
            )
        )  # fmt: skip
    return found


def test_two_faces_are_one_least_squares_problem(faces):
    """Worked anew: one steel and two cameras in one system, each mark an equation, each prior a row."""
    steel = faces[0].of_steel
    count, cameras = steel.sum(), (~steel).sum()
    system = np.zeros((count + 2 * cameras, count + 2 * cameras))
    system[:count, :count] = faces[0].ways.beforehand()[np.ix_(steel, steel)]
    system[count:, count:] = np.eye(2 * cameras)
    right = np.zeros(len(system))
    for number, each in enumerate(faces):
        at = each.ways.at(each.ways.marked.rows, each.ways.marked.cols).reshape(len(steel), -1)
        rows = np.zeros((at.shape[1], len(system)))
        rows[:, :count] = at[steel].T
        rows[:, count + number * cameras : count + (number + 1) * cameras] = at[~steel].T
        system += rows.T @ rows / MARK_ERROR**2
        right += rows.T @ each.ways.marked.off.ravel() / MARK_ERROR**2
    wanted, covariance = np.linalg.solve(system, right), np.linalg.inv(system)
    for number, each in enumerate(match_both(*faces)):
        own = slice(count + number * cameras, count + (number + 1) * cameras)
        assert np.allclose(each.fit.weights[steel], wanted[:count], atol=1e-3)
        assert np.allclose(each.fit.weights[~steel], wanted[own], atol=1e-3)
        assert np.allclose(each.fit.covariance[np.ix_(steel, steel)], covariance[:count, :count], atol=1e-3)
        assert np.allclose(each.fit.covariance[np.ix_(~steel, ~steel)], covariance[own, own], atol=1e-3)


def test_both_know_more_than_one(faces):
    both = match_both(*faces)
    assert both[0].seen == both[1].seen
    for each, alone in zip(both, faces, strict=True):
        assert (each.error[:, each.face.on_face] < alone.error[:, each.face.on_face] + 1e-3).all()


def test_faces_that_do_not_go_together_are_refused(faces):
    right, left = faces
    with pytest.raises(RequestError, match="both faces"):
        match_both(right, right)
    with pytest.raises(RequestError, match="of the left face: no"):
        match_both(right, replace(left, verdict=Verdict(False, ("no",))))
    with pytest.raises(RequestError, match=r"disagree: by them the pattern lies [89]\.\d mm apart"):
        match_both(right, replace(left, field=left.field + np.array([8.0, 0])[:, None, None]))


def test_each_photograph_needs_its_face(tmp_path, capsys):
    photos = ["--photo", "a.jpg", "--photo", "b.jpg", "--face", "left"]
    assert main(["match", str(DEMOS / "running_wave.toml"), *photos, "--out", str(tmp_path / "out")]) == 2
    assert "each with its face" in capsys.readouterr().err


@pytest.mark.slow
def test_two_photographs_of_one_bar(tmp_path):
    job = load_job(DEMOS / "marsh_moon.toml")
    found, metal = [], None
    for side, seed in (("right", 31), ("left", 32)):
        made = photograph(uncut(job), side, Shot(seed, columns=1500, metal=7))
        metal = made.metal
        (tmp_path / f"{side}.jpg").write_bytes(made.jpeg)
        found.append(match(job, tmp_path / f"{side}.jpg", side))
    both = match_both(*found)
    alone = [across_lines(each, metal)[1] for each in found]
    together = [across_lines(each, metal)[1] for each in both]
    assert np.hypot(*together) < np.hypot(*alone)
    names = {path.name for path in save_match(job, both, tmp_path / "out")}
    pictures = {f"{name[:-4]}_{side}{name[-4:]}" for name in MATCH_FILES for side in ("right", "left")}
    assert names == pictures | {"job.toml", "seen.toml", "marsh_moon.png"}
