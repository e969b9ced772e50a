from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import FileError, JobError
from preview.base.packed import pack
from preview.filling.layout import lay_out
from preview.filling.layout_files import laid_out
from preview.filling.wanted import Wanted
from preview.job.calibration import Calibration
from preview.job.file import (
    MOST_OPENED,
    dump_job,
    files_of,
    load_job,
    open_packed,
    pack_job,
    save_packed,
    settle,
)
from preview.pipeline import preview
from tests.conftest import DEMO_JOBS, DEMOS


@pytest.mark.parametrize("path", DEMO_JOBS, ids=lambda path: path.stem)
def test_a_packed_job_is_the_same_job(path, tmp_path):
    job = load_job(path)
    content = pack_job(job)
    again = open_packed(content, tmp_path)
    assert again.folder.parent == tmp_path
    assert again.model_copy(update={"folder": job.folder}) == job
    assert files_of(again) == files_of(job)
    assert pack_job(again) == content


def test_it_opens_by_its_path_and_shows_the_same_blade(tmp_path):
    job = load_job(DEMOS / "plain_start.toml")
    save_packed(job, tmp_path / "blade.ZIP")
    again = load_job(tmp_path / "blade.ZIP")
    np.testing.assert_array_equal(preview(again, width=200).picture, preview(job, width=200).picture)
    with pytest.raises(FileError, match="exists already"):
        save_packed(job, tmp_path / "blade.ZIP")


def test_its_calibration_goes_with_it(make, tmp_path):
    job = make().model_copy(update={"calibration": "forge.toml", "forge": Calibration(friction=0.4)})
    again = open_packed(pack_job(job), tmp_path / "opened")
    assert again.forge == job.forge


def test_a_laid_out_job_is_packed_with_its_can_pattern(tmp_path):
    Image.fromarray(np.uint8(255 * np.eye(40))).save(tmp_path / "art.png")
    layout = lay_out(load_job(DEMOS / "plain_start.toml"), Wanted(picture=tmp_path / "art.png", size=30))
    laid = laid_out(layout, tmp_path / "laid")
    again = open_packed(pack_job(laid), tmp_path / "opened")
    assert files_of(again) == files_of(laid)
    assert not (tmp_path / "laid" / "job.toml").exists()


def test_one_packed_by_hand_opens(make, tmp_path):
    job = make()
    content = pack({"blade/job.toml": dump_job(job).encode(), **{f"blade/{k}": v for k, v in files_of(job).items()}})
    assert files_of(open_packed(content, tmp_path / "opened")) == files_of(job)


def members(job, **others):
    return {"job.toml": dump_job(job).encode(), **files_of(job), **others}


def test_what_is_no_job_is_refused_and_nothing_is_written(make, tmp_path):
    job, home = make(), tmp_path / "opened"
    home.mkdir()
    whole = members(job)
    faults = (
        ({"p.png": b"x"}, FileError, "in this one is none"),
        ({**whole, "a/Job.toml": b""}, FileError, "in this one are 2"),
        ({**whole, "about.toml": b"version = 2"}, FileError, "newer program; this one reads up to 1: bring"),
        ({**whole, "about.toml": b"version = 'x'"}, FileError, "whole number"),
        ({**whole, "about.toml": b"\xff"}, FileError, "whole number"),
        ({"job.toml": whole["job.toml"]}, FileError, "no such file; the pattern's picture is needed"),
        ({**whole, "job.toml": b"[can]\nwall = -1\n"}, JobError, "can.wall"),
        ({**whole, "job.toml": b"[can"}, FileError, "cannot be understood"),
    )
    for files, kind, words in faults:
        with pytest.raises(kind, match=words):
            open_packed(pack(files), home)
        assert not list(home.iterdir())


def test_the_ones_opened_last_stay_unpacked(make, tmp_path):
    job, home = make(), tmp_path / "opened"
    for number in range(MOST_OPENED + 3):
        open_packed(pack_job(job.model_copy(update={"seed": number})), home)
    assert len(list(home.iterdir())) == MOST_OPENED
    assert open_packed(pack_job(job.model_copy(update={"seed": 22})), home).picture_path.exists()


def test_what_was_tidied_away_is_unpacked_again(make, tmp_path):
    content = pack_job(make())
    open_packed(content, tmp_path / "opened").picture_path.unlink()
    assert open_packed(content, tmp_path / "opened").picture_path.exists()


def test_a_job_settles_in_a_folder_without_touching_what_is_there(make, tmp_path):
    settled = settle(make(), tmp_path / "own")
    before = settled.picture_path.stat().st_mtime_ns
    assert settle(settled, tmp_path / "own") == settled
    assert settled.picture_path.stat().st_mtime_ns == before


def test_a_pack_does_not_hold_what_the_job_does_not_name(make, tmp_path):
    job = make()
    (tmp_path / "diary.txt").write_text("mine")
    with zipfile.ZipFile(io.BytesIO(pack_job(job))) as archive:
        assert archive.namelist() == ["about.toml", "job.toml", "pattern.png"]
