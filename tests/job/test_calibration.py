"""The measured forge's file, and what it does to a job."""

from __future__ import annotations

import re

import pytest

from preview.base.errors import FileError, JobError
from preview.forging.steps import Press
from preview.job.calibration import Calibration, dump_calibration, load_calibration, save_calibration


def test_calibration_file_round_trip_and_faults(tmp_path):
    path = tmp_path / "forge.toml"
    kept = Calibration(date="2026-11-25", rows=7, friction=0.61, friction_error=0.05, bright=77.0, bright_error=1.5)
    save_calibration(kept, path)
    assert load_calibration(path) == kept
    with pytest.raises(FileError, match="exists already"):
        save_calibration(kept, path)
    path.write_text("friction = 3\nmood = 1\n")
    with pytest.raises(FileError, match=r"friction.*mood"):
        load_calibration(path)
    path.write_bytes(b"\xff")
    with pytest.raises(FileError, match="cannot be read"):
        load_calibration(path)
    assert "friction = 0.61" in dump_calibration(kept)


def test_a_file_whose_fill_is_of_an_earlier_version_says_what_to_do(tmp_path):
    path = tmp_path / "forge.toml"
    flow = "version = 1\nspread_factor = 1.1\n"
    path.write_text(flow + "\n[settling]\nfill_factor = 0.97\nfill_factor_error = 0.01\nalong_error = 0.1\n")
    with pytest.raises(FileError, match=r"forge.toml: its \[settling\] is of an earlier version.*calibrate anew"):
        load_calibration(path)
    path.write_text(flow)  # as the message has it
    assert load_calibration(path).spread_factor == 1.1
    path.write_text("settling = 3\n")
    with pytest.raises(FileError, match="settling"):
        load_calibration(path)


TABLES = {
    "can": {"length": 60, "width": 30, "height": 44, "wall": 0},
    "forging": [{"step": "consolidate"}, {"step": "press", "height": 12, "bite": 20, "repeat": 2}],
    "blade": {"thickness": 8, "outline": {"length": 90, "height": 30}},
}


def test_what_a_step_says_itself_is_kept(make):
    from preview.job.calibration import Calibration

    forged = Calibration(friction=0.3, spread_factor=1.2)
    for step, kept in (
        (Press(height=9, friction=0.9), {"friction": 0.9, "spread_factor": 1.2}),
        (Press(height=9, spread=0.3), {"friction": 0.3, "spread_factor": 1.0}),
        (Press(height=9, width=50), {"friction": 0.3, "spread_factor": 1.0}),
    ):
        found = forged.step(step)
        assert {name: getattr(found, name) for name in kept} == kept
    assert make(**TABLES).etching == make(**TABLES).etch


def test_a_calibration_file_that_is_missing_or_outside(make):
    with pytest.raises(FileError, match="no such file; a calibration file"):
        make(**TABLES, calibration="none.toml")

    with pytest.raises(JobError, match=r"calibration: .*inside its own folder"):
        make(**TABLES, calibration="../none.toml")


def test_a_blade_is_held_against_the_bar_of_its_own_forge(make, tmp_path):
    """More spread makes the bar wider: a blade may fit the bar of a forge that spreads well, and not the law's."""
    save_calibration(Calibration(spread_factor=1.3), tmp_path / "forge.toml")
    tables = {**TABLES, "blade": {"thickness": 8, "outline": {"length": 60, "height": 30}}}
    wide = make(**tables, calibration="forge.toml").history.bar.width - 0.1
    tables["blade"]["outline"]["height"] = wide
    with pytest.raises(JobError, match="has to fit the bar"):
        make(**tables)
    assert make(**tables, calibration="forge.toml").blade.outline.height == wide


@pytest.mark.parametrize(("end", "side"), [("length", "length"), ("height", "width")])
def test_a_blade_that_is_refused_is_told_the_bar_and_the_can_that_would_do(make, end, side):
    """Forged anew, the can of the told size holds the blade, and one 1 mm smaller does not."""
    bar = make(**TABLES).history.bar
    outline = {"length": 90, "height": 30, end: getattr(bar, side) + 10}
    tables = {**TABLES, "blade": {"thickness": 8, "outline": outline}}
    with pytest.raises(JobError) as caught:
        make(**tables)
    (fault,) = caught.value.faults
    assert fault.where == f"blade.outline.{end}"
    assert " x ".join(f"{each:.1f}" for each in bar.size) in str(fault)
    told = int(re.search(r"at least (\d+) mm", str(fault))[1])
    assert make(**{**tables, "can": {**TABLES["can"], side: told}})
    with pytest.raises(JobError):
        make(**{**tables, "can": {**TABLES["can"], side: told - 1}})
