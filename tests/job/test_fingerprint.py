"""What a photograph is of: one pattern, one can, one forging, whatever is cut out of it."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import JobError
from preview.job.file import load_job, make_job
from preview.job.fingerprint import fingerprint
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
    assert make_job(of(job, None)).found is not None  # from before it was kept
    with pytest.raises(JobError, match="seen: the photograph was matched to another pattern, can or forging"):
        make_job(of(job.model_copy(update={"seed": 3}), "0123456789abcdef"))
