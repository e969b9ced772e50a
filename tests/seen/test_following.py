"""A face's rim found on made-up photographs whose camera is known."""

from __future__ import annotations

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from preview.base.photographs import read_photograph
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.seen.camera import project
from preview.seen.card import Card
from preview.seen.finding import find_pose
from preview.seen.following import follow
from preview.seen.rectify import DARKEST, linear
from preview.seen.rim import rim_of
from tests.conftest import DEMOS
from tests.support.steel_photo import Shot, photograph


def found(demo, of, side, tmp_path, **shot):
    """Return the pose found on a photograph, how far off it sees the face, and how far it states it may, mm rms."""
    job = load_job(DEMOS / f"{demo}.toml")
    job = uncut(job) if of == "bar" else job
    made = photograph(job, side, Shot(columns=1500, **shot))
    (tmp_path / "photo.jpg").write_bytes(made.jpeg)
    taken = read_photograph(tmp_path / "photo.jpg")
    rim = rim_of(job.ground, side)
    logs = np.log(linear(taken.pixels) + DARKEST)
    there = find_pose(taken.light, logs, rim)
    if made.card is not None:
        there = follow(logs, rim, there.pose, Card(made.card, (85.60, 53.98)))
    box = rim.box[:, :2]
    carry = ProjectiveTransform.from_estimate(box, made.corners * there.pose.size)
    within = np.stack([rim.places[:, 0], rim.places[:, 1], np.full(len(rim.places), rim.box[0, 2])], axis=1)
    seen = there.pose.project(within)
    off = (seen - carry(within[:, :2])) / there.pose.per_mm
    draws = np.random.default_rng(0).multivariate_normal(there.pose.values, there.pose.covariance, 40)
    stated = np.array([project(draw, within, there.pose.size) - seen for draw in draws]) / there.pose.per_mm
    return there, *(float(np.sqrt((each**2).sum(axis=-1).mean())) for each in (off, stated))


@pytest.mark.parametrize(
    ("of", "ground", "behind"),
    [
        ("blade", "cloth", "handle"),
        pytest.param("bar", "wood", "tang", marks=pytest.mark.slow),
        pytest.param("blade", "wood", "tang", marks=pytest.mark.slow),
    ],
)
def test_the_face_is_found_whatever_lies_behind_its_heel(of, ground, behind, tmp_path):
    there, off, stated = found("plain_start", of, "right", tmp_path, seed=3, ground=ground, behind=behind)
    assert there.share > 0.8
    assert off < 2.5 * stated  # one photograph each; of three more blades none was over 1.1
    assert stated < 3  # a straight rim tells little of how askew it is seen


@pytest.mark.slow
def test_a_card_tells_how_the_camera_was_held(tmp_path):
    """A card's edges are straight, and of a published size (ISO/IEC 7810, ID-1)."""
    there, off, stated = found("marsh_moon", "bar", "left", tmp_path, seed=4, card=True)
    assert off < 2 * stated
    assert stated < 1
    assert np.sqrt(np.diag(there.pose.covariance))[:2].max() < np.radians(4)
