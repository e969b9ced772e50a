"""From measurement files to a calibrated job, by Python and by the command line."""

from __future__ import annotations

import csv

import numpy as np
import pytest

from preview.base.errors import FileError, RequestError
from preview.cli import main
from preview.forge.measurements import learn
from preview.forging.steps import Press
from preview.job.file import dump_job, load_job, save_job
from preview.pipeline import preview
from tests.support.made_up import DARK_SPOT, forge, photo

TABLES = {
    "can": {"length": 60, "width": 30, "height": 44, "wall": 0},
    "forging": [{"step": "consolidate"}, {"step": "press", "height": 12, "bite": 20, "repeat": 2}],
    "blade": {"thickness": 8, "outline": {"length": 90, "height": 30}},
}


def table(path, rows):
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def truth(job, factor, friction):
    steps = tuple(
        step.model_copy(update={"spread_factor": factor, "friction": friction}) if isinstance(step, Press) else step
        for step in job.forging
    )
    return job.model_copy(update={"forging": steps}).history


def test_marks_on_a_face_give_spread_and_friction_back(make, tmp_path):
    """A grid on the can's floor, seen on the upper face of the bar; where it comes out is found by bisection."""
    job = make(**TABLES)
    along, across = (each.ravel() for each in np.meshgrid(np.linspace(-20, 20, 6), np.linspace(-11, 11, 5)))
    true = truth(job, 1.06, 0.5)
    top, low, high = true.bar.thickness / 2, np.zeros(30), np.full(30, 22.0)
    for _ in range(50):
        middle = (low + high) / 2
        bar = true.can_to_bar(np.column_stack([along, across, middle]))
        above = bar[:, 2] > top - 1e-6
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    seen = bar[:, :2] @ np.array([[np.cos(0.05), np.sin(0.05)], [-np.sin(0.05), np.cos(0.05)]]) + (11, -4)
    seen = seen + np.random.default_rng(1).normal(0, 0.1, seen.shape)
    names = ("x", "y", "can_along", "can_across")
    rows = [dict(zip(names, row, strict=True)) for row in np.column_stack([seen, along, across]).tolist()]
    found = learn(job, marks=table(tmp_path / "m.csv", rows)).calibration
    assert found.spread_factor == pytest.approx(1.06, abs=3 * found.spread_factor_error)
    assert found.friction == pytest.approx(0.5, abs=3 * found.friction_error)
    assert found.friction_error < 0.15


@pytest.mark.slow
def test_a_calibrated_job_forges_and_etches_as_measured(make, tmp_path):
    job = make(**TABLES, calibration=None)
    rows = forge(np.random.default_rng(8), 1.15, 0.4) + forge(np.random.default_rng(9), 1.15, 0.4)
    readings = table(tmp_path / "readings.csv", rows)
    coupon = photo(tmp_path / "coupon.png", bright=70, dark=20)
    save_job(job, tmp_path / "job.toml")
    arguments = ["--readings", str(readings), "--coupon", str(coupon), "--out", str(tmp_path / "forge.toml")]
    assert main(["calibrate", str(tmp_path / "job.toml"), *arguments]) == 0
    assert main(["calibrate", str(tmp_path / "job.toml"), *arguments]) == 2

    save_job(job.model_copy(update={"calibration": "forge.toml"}), tmp_path / "mine.toml")
    mine = load_job(tmp_path / "mine.toml")
    assert mine.forge.rows == len(rows)
    assert mine.etching.bright == pytest.approx(70, abs=1)
    assert mine.history.bar.width > job.history.bar.width
    pressed = mine.history.steps[1]
    assert pressed.friction == mine.forge.friction == pytest.approx(0.4, abs=0.2)
    assert mine.forging == job.forging
    # less friction, less slide
    assert abs(preview(mine, px_per_mm=2).numbers.right.slide) < abs(preview(job, px_per_mm=2).numbers.right.slide)
    assert "friction" not in dump_job(mine)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({}, "nothing to calibrate from"),
        ({"readings": "none.csv"}, "no such file"),
        ({"marks": "none.csv"}, "no such file"),
        ({"coupon": "none.png"}, "no such file"),
        ({"readings": "a", "marks": "b"}, "one of them at a time"),
    ],
)
def test_bad_files(make, tmp_path, arguments, words):
    with pytest.raises(RequestError if "calibrat" in words or "time" in words else FileError, match=words):
        learn(make(**TABLES), **{name: tmp_path / file for name, file in arguments.items()})


@pytest.mark.parametrize(
    ("content", "fault", "words"),
    [
        ("x,y\n1,2\n", FileError, "missing column can_across, can_up"),
        ("x,y,can_across,can_up\n1,2,3,here\n", FileError, "row 1: numbers"),
        ("x,y,can_across,can_up\n1,2,3,4\n", RequestError, "4 marks at least"),
        ("x,y,can_across,can_up\n" + "1,2,900,4\n" * 5, RequestError, "outside the can"),
    ],
)
def test_bad_marks(make, tmp_path, content, fault, words):
    (tmp_path / "m.csv").write_text(content)
    with pytest.raises(fault, match=words):
        learn(make(**TABLES), marks=tmp_path / "m.csv")


def test_regions_on_the_command_line(make, tmp_path, capsys):
    save_job(make(**TABLES), tmp_path / "job.toml")
    coupon = photo(tmp_path / "coupon.png", card=True, light=lambda *_: 0.7)
    arguments = ["calibrate", str(tmp_path / "job.toml"), "--coupon", str(coupon), "--out", str(tmp_path / "f.toml")]
    dark = ",".join(map(str, DARK_SPOT))
    assert main([*arguments, "--bright", "0.45,0.45,0.55,0.55", "--dark", dark, "--card", "0.02,0.02,0.15,0.12"]) == 0
    assert "lightness of the bright steel 74.7" in capsys.readouterr().out
    assert main([*arguments, "--force", "--bright", "0.5,0.5,0.4,1"]) == 2
    assert "left, top, right, bottom" in capsys.readouterr().err
