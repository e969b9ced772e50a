from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preview.base.errors import FileError, JobError
from preview.blade.grinds import GRIND_KINDS
from preview.job.file import dump_job, load_job, parse_job, save_job
from preview.job.job import Job
from preview.pipeline import preview
from tests.conftest import DEMO_JOBS

ESSENTIAL = '[pattern]\npicture = "p.png"\n'


@pytest.mark.parametrize("path", DEMO_JOBS, ids=lambda path: path.stem)
def test_round_trip_is_exact(path, tmp_path):
    job = load_job(path)
    assert parse_job(dump_job(job), path.parent) == job
    save_job(job, tmp_path / "job.toml")
    assert load_job(tmp_path / "job.toml").model_copy(update={"folder": path.parent}) == job


def test_round_trip_of_awkward_numbers():
    text = ESSENTIAL + '[grind]\nedge = 0.1234567890123456\n[light]\nazimuth = -1e-7\n[can]\nwall = "1/10 in"\n'
    job = parse_job(text, Path())
    assert job.can.wall == 2.54
    assert parse_job(dump_job(job), Path()) == job


def test_the_picture_is_all_that_is_needed():
    assert isinstance(parse_job(ESSENTIAL, Path()), Job)
    with pytest.raises(JobError, match="pattern: is needed and missing"):
        parse_job("", Path())


def faults(text: str) -> dict[str, str]:
    with pytest.raises(JobError) as caught:
        parse_job(text, Path())
    return {fault.where: fault.problem for fault in caught.value.faults}


def test_units_are_converted_on_entry():
    job = parse_job(
        ESSENTIAL
        + '[blade]\nthickness = "3/16 in"\n[[forging]]\nstep = "consolidate"\n'
        + 'heat = { temperature = "2150 F", minutes = "0.5 h" }\n'
        + '[[forging]]\nstep = "press"\nheight = "1/4 in"\n[[forging]]\nstep = "trim"\nsides = 4',
        Path(),
    )
    assert job.blade.thickness == pytest.approx(4.7625)
    assert job.forging[0].heat.temperature == pytest.approx(1176.67, abs=0.01)
    assert job.forging[0].heat.minutes == 30


def test_all_faults_at_once_each_with_its_path():
    found = faults(
        'title = 3\nextra = 1\n[pattern]\npicture = "p.png"\ndivider = "x"\n'
        "[can]\nlength = -5\nwall = true\nwidth = nan\nheight = inf\nfill_density = 1.4\n"
        '[[forging]]\nstep = "presss"\n[[forging]]\nheight = 3\n[[forging]]\nstep = "press"\n'
        '[[forging]]\nstep = "press"\nheight = "3 stone"\nfriction = 2\n'
        '[[forging]]\nstep = "trim"\nfaces = "x"\n'
        '[grind]\nedge = "0.4 in in"\n[grind.right]\nkind = "flatt"\nheight = -1\n[etch]\nminutes = -1\n'
    )
    assert "string" in found["title"]
    assert "unknown key" in found["extra"]
    assert "'dividers' meant" in found["pattern.divider"]
    assert "over 0 is needed; given -5" in found["can.length"]
    assert "given True" in found["can.wall"]
    assert "finite" in found["can.width"]
    assert "finite" in found["can.height"]
    assert "at most 1 is needed" in found["can.fill_density"]
    assert "step has to be one of" in found["forging[0]"]
    assert "name" in found["forging[1]"]
    assert "missing" in found["forging[2].height"]
    assert "known units" in found["forging[3].height"]
    assert "at most 1" in found["forging[3].friction"]
    assert "forging[4].faces" in found
    assert "known units" in found["grind.edge"]
    assert all(repr(kind) in found["grind.right.kind"] for kind in GRIND_KINDS)
    assert "over 0" in found["grind.right.height"]
    assert "at least 0 is needed; given -1" in found["etch.minutes"]
    assert len(found) == 18


def test_a_key_in_the_wrong_table_is_told_where_it_belongs():
    found = faults('[pattern]\npicture = "p.png"\n[etch]\nfinish = "polished"\nheight = 3\n')
    assert "unknown key; it belongs in [light]" in str(found["etch.finish"])
    assert str(found["etch.height"]).endswith("unknown key")  # there are several


def test_parts_that_do_not_fit_together_all_at_once():
    found = faults(
        '[pattern]\npicture = "../p.png"\nsize = [300, 5]\nsurround = "gold"\ntransparent = "air"\n'
        '[[powders]]\nname = "a"\ncolours = ["black", "nocolour"]\nnickel = 0\n'
        '[[powders]]\nname = "a"\ncolours = ["black"]\nnickel = 3\n'
        "[blade]\nthickness = 9\ntip_thickness = 12\n[blade.outline]\nlength = 900\nheight = 36\n"
        "[blade.placement]\nedge = 30\n"
        "[grind]\nheel_flat = 2000\nedge = 13\n[grind.right]\nheight = 50\n"
    )
    for where in (
        "pattern.picture", "pattern.size", "pattern.surround", "pattern.transparent", "powders[0].colours",
        "powders[1].name", "powders[1].colours", "blade.thickness", "blade.tip_thickness", "blade.outline.length",
        "blade.placement.edge", "grind.heel_flat", "grind.right.height", "grind.edge",
    ):  # fmt: skip
        assert where in found, where


def test_a_single_bevel_has_no_edge_off_centre():
    found = faults('[pattern]\npicture = "p.png"\n[grind]\nedge_offset = 0.2\n[grind.left]\nkind = "none"\n')
    assert "has to be 0 at a single bevel" in str(found["grind.edge_offset"])


@pytest.mark.parametrize("path", ["/etc/passwd", "../p.png", "a/../../p.png", "C:\\p.png", "..\\p.png", " "])
def test_the_picture_stays_in_the_jobs_folder(path):
    assert "inside its own folder" in faults(f"[pattern]\npicture = '{path}'\n")["pattern.picture"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"[pattern\n", "cannot be understood.*line 1"),
        (b"[can]\nwall = 1\nwall = 2\n", "cannot be understood.*overwrite"),
        ("[pattern]\npicture = 'b\u00e4r.png'".encode("latin-1"), "UTF-8"),
        (b"\xff\xfe[\x00", "UTF-8"),
        (b"#" * 1_000_001, "over 1 MB"),
    ],
    ids=["syntax", "twice", "latin-1", "utf-16", "large"],
)
def test_files_that_are_no_jobs(tmp_path, content, words):
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(FileError, match=words) as caught:
        load_job(path)
    assert "\n" not in str(caught.value)


def test_a_byte_order_mark_does_no_harm(tmp_path):
    (tmp_path / "job.toml").write_bytes(b"\xef\xbb\xbf" + ESSENTIAL.encode())
    assert load_job(tmp_path / "job.toml").pattern.picture == "p.png"


def test_files_are_kept_unless_forced(tmp_path):
    job = parse_job(ESSENTIAL, Path())
    save_job(job, tmp_path / "job.toml")
    with pytest.raises(FileError, match="exists already"):
        save_job(job, tmp_path / "job.toml")
    save_job(job, tmp_path / "job.toml", force=True)
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]


def test_a_job_without_its_picture(tmp_path):
    (tmp_path / "job.toml").write_text(ESSENTIAL)
    with pytest.raises(FileError, match="no such file"):
        preview(load_job(tmp_path / "job.toml"))


def test_settings_have_one_meaning_each(make):
    """The same grind told by height and by its angle gives the same face."""
    height = make(grind={"edge": 0.4, "right": {"height": 20}})
    angle = np.degrees(np.arctan((4.5 - 0.4) / 2 / 20))
    by_angle = make(grind={"edge": 0.4, "right": {"hold": "angle", "angle": angle}})
    one, other = (preview(job, px_per_mm=2).faces[0].stand for job in (height, by_angle))
    np.testing.assert_allclose(one, other, atol=1e-5)
