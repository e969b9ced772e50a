"""Points shown by hand on a photograph and on the face."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.forge.uncertain import Moves
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.seen.camera import Pose
from preview.seen.fitting import Fit
from preview.seen.marks import ALONE, by_marks, checked_marks, marks_on, worst_mark
from preview.seen.match import match
from preview.seen.ways import MARK_ERROR, Marked, Ways, face_of, find_ways, wander_of
from tests.conftest import DEMOS
from tests.support.steel_photo import Shot, photograph
from tests.support.steel_truth import across_lines

UNREAD = Fit(np.zeros(0), np.zeros((0, 0)), 0.0, 0.0, 0.0)
SIZE = (2000, 1200)


@pytest.fixture(scope="module")
def bar():
    return uncut(load_job(DEMOS / "running_wave.toml"))


@pytest.fixture(scope="module", params=["right", "left"])
def laid(bar, request):
    """Return a side, its grid, and a pose in which it is seen a little askew."""
    moves = Moves.of(bar, wander_of(bar))
    face = face_of(moves, bar, request.param)
    values = np.array([0.1, -0.08, 0.05, 0.02, -0.01, np.log(350.0), np.log(0.8)])
    pose = Pose(values, np.diag([0.02, 0.02, 0.001, 0.001, 0.001, 0.05, 0.05]) ** 2, SIZE)
    return request.param, face, pose, find_ways(moves, face, request.param, pose)


def seen(laid, places):
    """Return the pixels at which places of the face (mm) are seen."""
    side, face, pose, _ = laid
    at = [np.hypot(face.along - x, face.across - y).argmin() for x, y in places]
    beside = [(x - face.along.flat[n], y - face.across.flat[n]) for n, (x, y) in zip(at, places, strict=True)]
    moved = [(-right if side == "left" else right, -up, 0) for right, up in beside]
    return pose.project(face.places.reshape(-1, 3)[at] + np.array(moved))


def test_a_mark_lies_where_its_pixel_is_seen(laid):
    side, face, pose, _ = laid
    places = np.array([(40.3, 11.1), (120.2, 20.7)])
    marked = marks_on(face, side, pose, np.stack([seen(laid, places), places + np.array([3.0, -0.5])], axis=1))
    assert np.allclose(marked.off, [[3, 3], [-0.5, -0.5]], atol=0.02)
    assert np.allclose(face.along[marked.rows, marked.cols], places[:, 0], atol=0.25)


def test_marks_alone_say_how_far_all_lies_off(laid):
    """A shift of 25 mm, far more than steel is unsure by, is found from as few marks as are needed."""
    side, face, pose, ways = laid
    places = np.array([(25.0, 12), (130, 20), (225, 14)])
    assert len(places) == ALONE
    marked = marks_on(face, side, pose, np.stack([seen(laid, places), places + np.array([25.0, 0.4])], axis=1))
    ways = replace(ways, marked=marked)
    fit = by_marks(ways, UNREAD)
    field = ways.field(fit.weights)[:, face.on_face]
    assert np.abs(field[0] - 25).max() < 1.5
    assert np.abs(field[1] - 0.4).max() < 1
    assert worst_mark(ways, fit)[2] < 1


def test_the_wrong_mark_is_named(laid):
    side, face, pose, ways = laid
    places = np.array([(25.0, 12), (60, 20), (80, 15), (100, 20), (150, 14), (180, 18)])
    shown = places.copy()
    shown[2, 0] += 7
    ways = replace(ways, marked=marks_on(face, side, pose, np.stack([seen(laid, places), shown], axis=1)))
    number, far, sds = worst_mark(ways, by_marks(ways, UNREAD))
    assert number == 3
    assert far == pytest.approx(7, abs=0.5)
    assert sds > 4


def test_one_mark_counts_as_a_reading_does():
    """Worked by hand: a way of 1 mm, shown 2 mm off with the error of a mark."""
    ways = Ways(
        ("turn", "shift along"), np.array([[[[1.0]], [[0.0]]], [[[0.0]], [[0.0]]]], dtype=np.float32),
        (np.zeros((0, 1), dtype=np.float32), np.zeros((0, 1), dtype=np.float32)), np.zeros((0, 0)),
        marked=Marked(np.array([0]), np.array([0]), np.array([[2.0], [0.0]])),
    )  # fmt: skip
    assert ways.expected() == pytest.approx([2 / (1 + MARK_ERROR**2), 0])
    assert np.linalg.inv(ways.prior())[0, 0] == pytest.approx(1 / (1 + 1 / MARK_ERROR**2))


def test_marks_that_cannot_be_are_refused_by_number(laid):
    side, face, pose, _ = laid
    for bad in ("a", ((1, 2), ("x", 3)), ((1, 2),), ((1, 2), (3, float("nan"))), ((1, 2), (3, 1e300))):
        with pytest.raises(RequestError, match=r"marks\.2: a pixel"):
            checked_marks([((1, 2), (3, 4)), bad])
    with pytest.raises(RequestError, match="at most 50"):
        checked_marks([((1, 2), (3, 4))] * 51)
    (pixel,) = seen(laid, [(50.0, 15.0)])
    with pytest.raises(RequestError, match=r"marks\.1: its pixel lies"):
        marks_on(face, side, pose, np.array([[(5.0, 5.0), (50.0, 15.0)]]))
    with pytest.raises(RequestError, match=r"marks\.1: its place lies"):
        marks_on(face, side, pose, np.array([[pixel, (50.0, -15.0)]]))
    with pytest.raises(RequestError, match=r"marks\.1: is seen 70 mm"):
        marks_on(face, side, pose, np.array([[pixel, (120.0, 15.0)]]))


@pytest.mark.slow
def test_a_mark_tells_repeats_apart(bar, tmp_path):
    """All of the pattern lies 25 mm further along: refused without a mark, and put right with one."""
    made = photograph(bar, "right", Shot(42, columns=1500, shift=25.0))
    (tmp_path / "photo.jpg").write_bytes(made.jpeg)
    size, outline = np.array([1500, 900]), bar.blade.outline
    place = np.array([outline.length / 2, outline.height / 2])
    middle = made.corners.mean(axis=0) * size  # of a box seen all but squarely
    ahead, aside = (float(each[0]) for each in made.metal.moved(*place[:, None]))
    mark = (tuple(middle), (place[0] - ahead - 25, place[1] - aside))
    job = load_job(DEMOS / "running_wave.toml")
    assert not match(job, tmp_path / "photo.jpg", "right").verdict.taken
    found = match(job, tmp_path / "photo.jpg", "right", marks=[mark])
    assert found.verdict.taken
    made.metal.shift += np.array([25.0, 0])
    assert across_lines(found, made.metal)[1] < 0.8
