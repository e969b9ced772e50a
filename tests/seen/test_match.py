"""Photographs laid on previews; they are made up by a maker that shares no distortion with the fit."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import FileError, JobError, RequestError
from preview.forge.things import uncertain_things
from preview.job.file import dump_job, load_job, make_job
from preview.job.seen import FORGED, Left, Seen, dump_seen, load_seen
from preview.job.uncut import uncut
from preview.pipeline import face_map
from preview.seen.match import match
from preview.seen.match_files import MATCH_FILES, save_match, seen_job
from tests.conftest import DEMOS
from tests.support.steel_photo import Shot, photograph
from tests.support.steel_truth import across_lines


@pytest.fixture(scope="module")
def job():
    return load_job(DEMOS / "marsh_moon.toml")


def taken(job, folder, side="left", of="bar", **shot):
    made = photograph(uncut(job) if of == "bar" else job, side, Shot(columns=1500, **shot))
    path = folder / "photo.jpg"
    path.write_bytes(made.jpeg)
    return made, path


@pytest.fixture(scope="module")
def found(job, tmp_path_factory):
    made, path = taken(job, tmp_path_factory.mktemp("photo"), seed=101, card=True)
    return match(job, path, "left", card=made.card.tolist()), made


def test_a_photograph_of_the_bar_puts_its_preview_right(found):
    before, after, _, _ = across_lines(found[0], found[1].metal)
    assert after < before
    assert after < 0.8  # an outline ground by hand is off by a quarter millimetre, and so is the camera's pose
    assert found[0].verdict.taken


def test_the_job_of_this_bar_is_previewed_as_it_was_seen(job, found, tmp_path):
    match_, made = found
    files = save_match(job, match_, tmp_path / "out")
    assert {path.name for path in files} == {*MATCH_FILES, "job.toml", "seen.toml", "marsh_moon.png"}
    again = load_job(tmp_path / "out" / "job.toml")
    assert again.found == match_.seen == load_seen(tmp_path / "out" / "seen.toml")
    shown = face_map(uncut(again), "left", 2.5).share_of(("nickel",))
    ahead, aside = made.metal.moved(match_.face.along, match_.face.across)
    true, before = match_.shown(-np.stack([ahead, aside])), match_.shown()
    on = match_.face.on_face
    assert np.abs(shown - true)[on].mean() < 0.7 * np.abs(before - true)[on].mean()
    text = (tmp_path / "out" / "match.txt").read_text()
    assert "taken for your work" in text
    assert text.count("four times of five") == text.count("It may still lie") + text.count("Your bar spread")
    assert "two times of three" not in text
    assert text.index("it is taken as reckoned") < text.index("`place` (--bar)")
    assert str(match_.camera) in text


@pytest.mark.slow
def test_blank_steel_is_not_taken(job, tmp_path):
    _, path = taken(job, tmp_path, seed=3, shows="blank")
    found = match(job, path, "left")
    assert not found.verdict.taken
    with pytest.raises(RequestError, match="photo"):
        seen_job(job, found)


@pytest.mark.slow
@pytest.mark.parametrize("flip", ["mirrored", "upside", "turned"])
def test_a_pattern_that_lies_another_way_is_not_taken(job, tmp_path, flip):
    _, path = taken(job, tmp_path, seed=5, flip=flip)
    assert not match(job, path, "left").verdict.taken


def test_what_cannot_be_is_refused_with_its_place(job, tmp_path):
    _, path = taken(job, tmp_path, seed=101)
    with pytest.raises(RequestError, match="clockwise"):
        match(job, path, "left", corners=[(0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9)])
    with pytest.raises(RequestError, match="four places"):
        match(job, path, "left", corners=[(0.1, 0.1)])
    with pytest.raises(RequestError, match="card_size: width and height from 10 mm"):
        match(job, path, "left", card=[(0, 0), (0.1, 0), (0.1, 0.1), (0, 0.1)], card_size=("a", 5))
    with pytest.raises(RequestError, match="card: its edges are not seen"):
        match(job, path, "left", card=[(0.05, 0.05), (0.25, 0.05), (0.25, 0.15), (0.05, 0.15)])
    with pytest.raises(FileError):
        match(job, tmp_path / "none.jpg")
    about = job.blade.placement.model_copy(update={"turned": True})
    about = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": about})})
    with pytest.raises(RequestError, match="as it was forged"):
        match(about, path, "left")


def test_what_a_bar_shows_of_its_forging_is_unsure_no_longer(job):
    assert set(FORGED) <= {thing.name for thing in uncertain_things(job)}


def test_what_was_seen_is_read_between_its_places():
    """Worked by hand: half way between 1 and 3 mm; beyond the table its rim holds."""
    seen = Seen(
        bar=(100, 20), start=(10, 5), spacing=(20, 10), along=((1, 3), (1, 3)), across=((0, 0), (2, 2)),
        left=(Left(along=((1, 1), (1, 1)), across=((0, 0), (0, 0))),),
    )  # fmt: skip
    along, across = seen.moved(np.array([-30.0, 50.0]), np.array([0.0, 10.0]))
    assert np.allclose(along, [-30 + 2, 50 + 3])
    assert np.allclose(across, [0 + 1, 10 + 2])
    assert np.allclose(seen.left_at(0, np.array([0.0]), np.array([0.0])), [[1], [0]])
    assert seen.off == pytest.approx(1.28, abs=0.005)  # a normal deviate within it four times of five: any table of it


def test_another_bar_is_not_taken_for_the_one_that_was_seen(job, tmp_path):
    seen = Seen(bar=(100, 20), start=(0, 0), spacing=(50, 10), along=((0, 0), (0, 0)), across=((0, 0), (0, 0)))
    (tmp_path / "seen.toml").write_text(dump_seen(seen))
    (tmp_path / "marsh_moon.png").write_bytes(job.picture_path.read_bytes())
    values = {**job.model_dump(exclude_none=True), "seen": "seen.toml", "folder": tmp_path}
    with pytest.raises(JobError, match="seen: the photograph was laid on a bar of"):
        make_job(values)
    assert "found" not in dump_job(job)
