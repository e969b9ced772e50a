"""What a photograph is of: one pattern, one can, one forging, whatever is cut out of it."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import JobError
from preview.job.file import load_job, make_job
from preview.job.fingerprint import fingerprint, otherwise
from preview.job.seen import Seen, dump_seen
from tests.conftest import DEMOS


@pytest.fixture
def job(tmp_path):
    for name in ("marsh_moon.toml", "marsh_moon.png"):
        shutil.copy(DEMOS / name, tmp_path / name)
    return load_job(tmp_path / "marsh_moon.toml")


def of(job, forged):
    """Return plain values of ``job`` that refer to a photograph of what was ``forged``."""
    bar = job.history.bar
    seen = Seen(
        forged=forged, bar=(bar.length, bar.width), start=(0, 0), spacing=(50, 10), along=((0, 0), (0, 0)),
        across=((0, 0), (0, 0)),
    )  # fmt: skip
    (job.folder / "seen.toml").write_text(dump_seen(seen))
    return {**job.model_dump(exclude_none=True), "seen": "seen.toml", "folder": job.folder}


def test_what_is_cut_out_of_a_bar_does_not_count(job, tmp_path):
    thinner = job.blade.model_copy(update={"thickness": 3.0})
    assert fingerprint(job.model_copy(update={"blade": thinner, "title": "another", "seed": 7})) == fingerprint(job)
    (tmp_path / "there").mkdir()
    shutil.copy(job.picture_path, tmp_path / "there" / "other.png")
    picture = job.pattern.model_copy(update={"picture": "other.png"})
    assert fingerprint(job.model_copy(update={"pattern": picture, "folder": tmp_path / "there"})) == fingerprint(job)


def test_what_lies_in_the_can_and_how_it_is_forged_counts(job):
    denser = job.can.model_copy(update={"fill_density": job.can.fill_density + 0.001})
    other = {
        "can": denser, "forging": job.forging[::-1], "powders": job.powders[::-1],
        "pattern": job.pattern.model_copy(update={"turn": 1.0}),
    }  # fmt: skip
    prints = {fingerprint(job.model_copy(update={key: value})) for key, value in other.items()} | {fingerprint(job)}
    assert len(prints) == 5
    pixels = np.array(Image.open(job.picture_path))
    Image.fromarray(pixels[::-1]).save(job.picture_path)
    assert fingerprint(job) not in prints


def test_a_photograph_of_another_forging_is_not_this_work_s(job):
    assert make_job(of(job, fingerprint(job))).found is not None
    assert make_job(of(job, ())).found is not None  # from before it was kept
    other = fingerprint(job.model_copy(update={"can": job.can.model_copy(update={"fill_density": 0.55})}))
    with pytest.raises(JobError) as caught:
        make_job(of(job, other))
    words = str(caught.value)
    assert f"can.fill_density was 0.55, and is {job.can.fill_density:g} now" in words
    assert 'take the line seen = "seen.toml" out of the work\'s file' in words
    assert "blade" not in words


def test_what_was_changed_is_named_by_its_key(job):
    hotter = job.forging[1].model_copy(update={"heat": job.forging[1].heat.model_copy(update={"temperature": 1033.0})})
    changed = job.model_copy(update={"forging": (job.forging[0], hotter, *job.forging[2:])})
    ((key, was, now),) = otherwise(fingerprint(job), changed)
    assert (key, now) == ("forging[1].heat.temperature", "1033")
    assert was == f"{job.forging[1].heat.temperature:g}"
    shorter = job.model_copy(update={"forging": job.forging[:-1]})
    assert {now for _, _, now in otherwise(fingerprint(job), shorter)} == {""}
    job.picture_path.unlink()
    assert otherwise((("pattern.picture", "0123"), *fingerprint(job)[1:]), job) == ()  # told where it is needed


def test_a_hash_of_before_names_nothing(job):
    values = of(job, ())
    text = (job.folder / "seen.toml").read_text().replace("forged = []", 'forged = "0123456789abcdef"')
    assert "0123456789abcdef" in text
    (job.folder / "seen.toml").write_text(text)
    assert make_job(values).found.forged == ()


def test_no_larger_can_is_advised_for_a_bar_that_was_photographed(job):
    long = job.blade.model_dump(exclude_none=True)
    long["outline"]["length"] = job.history.bar.length + 5
    for values, advised in ((job.model_dump(exclude_none=True), True), (of(job, fingerprint(job)), False)):
        with pytest.raises(JobError, match="has to fit the bar") as caught:
            make_job({**values, "blade": long, "folder": job.folder})
        assert ("A can at least" in str(caught.value)) is advised
