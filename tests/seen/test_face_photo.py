"""A photograph before anything is laid on it, and two of one bar."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import FileError, RequestError
from preview.job.file import load_job
from preview.job.seen import Left, Seen
from preview.job.uncut import uncut
from preview.seen.agreeing import contradiction
from preview.seen.face_photo import find_face
from tests.conftest import DEMOS

PHOTO = DEMOS / "marsh_moon_bar.jpg"


@pytest.fixture(scope="module")
def job():
    return load_job(DEMOS / "marsh_moon.toml")


def test_corners_are_found_on_the_bar_however_the_camera_was_turned(job, tmp_path):
    """The bar's sides are as long to each other as it is made; 6 is one of the orientations of TIFF 6.0 and of EXIF."""
    upright = find_face(job, PHOTO)
    corners = np.array(upright.corners) * (1, upright.tall)
    length, width = (np.hypot(*(corners[one] - corners[0])) for one in (1, 3))
    bar = uncut(job).blade.outline
    assert length / width == pytest.approx(bar.length / bar.height, rel=0.05)
    assert upright.note is None
    picture = Image.open(io.BytesIO(PHOTO.read_bytes()))
    marked = picture.getexif()
    marked[0x0112] = 6
    picture.rotate(90, expand=True).save(tmp_path / "turned.jpg", exif=marked, quality=95)
    assert np.allclose(find_face(job, tmp_path / "turned.jpg").corners, upright.corners, atol=0.003)


def test_where_no_steel_is_found_the_corners_are_begun_with_in_the_middle(job, tmp_path):
    grey = np.full((900, 700), 120, np.uint8)
    Image.fromarray(grey).save(tmp_path / "nothing.png")
    found = find_face(job, tmp_path / "nothing.png")
    assert "No bar or blade is found on it, since it has to lie level" in str(found.note)
    corners = np.array(found.corners)
    assert np.allclose(corners.mean(axis=0), 0.5)
    assert np.allclose(np.ptp(corners[:, 0]), 0.8)
    for places in (corners, np.array(found.card)):
        assert ((places >= 0) & (places <= 1)).all()


@pytest.mark.parametrize(("name", "problem"), [
    ("few.jpg", r"photo: has 100 x 60 pixels; \d+ along the steel are needed at least"),
    ("mine.heic", "HEIC"),
    ("many.png", "far too many pixels|at most 40 million"),
])  # fmt: skip
def test_a_photograph_that_will_not_do_is_told_why(job, tmp_path, name, problem):
    path = tmp_path / name
    size = {"few.jpg": (100, 60), "mine.heic": (900, 600), "many.png": (8000, 6000)}[name]
    Image.new("1", size, 1).save(path, "PNG" if name == "many.png" else "JPEG")
    with pytest.raises((FileError, RequestError), match=problem):
        find_face(job, path)


def bar_seen(along: float, left: float = 0.0) -> Seen:
    """Return a pattern that lies ``along`` mm off all over a bar, sure to ``left`` mm."""
    still, none = ((0.0, 0.0), (0.0, 0.0)), ((along, along), (along, along))
    open_ = (Left(along=((left, left), (left, left)), across=still),) if left else ()
    return Seen(bar=(100, 20), start=(10, 5), spacing=(80, 10), along=none, across=still, left=open_)


def test_two_photographs_of_one_bar_cannot_show_its_pattern_in_two_places():
    """Worked by hand: sqrt(2) x 0.25 mm is sure, 1.28 times that four times of five.

    1 mm is less than three times that, 3 mm are more, unless unsure.
    """
    assert contradiction(bar_seen(0), bar_seen(1)) is None
    assert "3.0 mm from where the photograph in use shows it, and both are sure to 0.5 mm" in str(
        contradiction(bar_seen(0), bar_seen(3))
    )
    assert contradiction(bar_seen(0, left=2.0), bar_seen(3)) is None
