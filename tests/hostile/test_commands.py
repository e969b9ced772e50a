"""What hostile files and words once broke, command by command: each is one short line for each fault."""

from __future__ import annotations

import shutil

import pytest

from tests.conftest import DEMOS
from tests.test_cli import JOB, run

HOSTILE_JOBS = {
    "nested": ("x = " + "[" * 3000 + "]" * 3000, "deep within each other"),
    "digits": ("seed = " + "9" * 5000, "a number of 5000 digits"),
    "spaces": ('can.length = "1' + " " * 60_000 + '1"', "characters is too long"),
    "number": ('[can]\nlength = "' + "9" * 400 + ' mm"', "can.length: a number is needed, of at most 60 characters"),
    "dotted": (".".join("a" * 100_000) + " = 1", "has over 20 parts"),
    "minutes": ("[etch]\nminutes = 1e300", "etch.minutes: a number of at most"),
    "wheel": ('[grind.right]\nkind = "hollow"\nwheel_diameter = 1e300', "wheel_diameter: a number of at most"),
    "can": ("[can]\nlength = 1e-6\nwidth = 26\nheight = 48\nwall = 2", "has to be at most"),
    "key": ("can.along = 1", "can.along: unknown key"),
    "red": ('title = "\\u001b[31m"\n[can]\nlength = "\\u001b[31m"', "can.length"),
    "folder": ('calibration = "."', "path inside its own folder"),
    "null": ('calibration = "a\\u0000b"', r"a\x00b: cannot be read"),
}


@pytest.mark.parametrize("name", HOSTILE_JOBS)
def test_hostile_jobs_are_a_short_line_for_each_fault(name, tmp_path, capsys):
    text, words = HOSTILE_JOBS[name]
    (tmp_path / "job.toml").write_text(f'pattern.picture = "p.png"\n{text}\n')
    shutil.copy(DEMOS / "plain_start.png", tmp_path / "p.png")
    assert run("budget", str(tmp_path / "job.toml")) == 2
    error = capsys.readouterr().err
    assert words in error
    assert all(line.isprintable() and len(line) < 400 for line in error.splitlines())
    assert "meant?" not in error


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("pack", JOB, "--out", "n" * 300), "File name too long"),
        (("pack", JOB, "--out", "a\0b"), r"a\x00b: cannot be used"),
        (("pack", "n" * 300), "File name too long"),
        (("render", JOB, "--out", "out\udcff"), "a name in UTF-8 is needed"),
        (("budget", JOB, "--bead", "100"), "at most 3"),
        (("sketch", str(DEMOS / "reed_sketch.jpg"), "--width", "60", "--svg", "--out", "."), "is a folder"),
        (("fill", JOB, "--dividers", "d.stl", "--powders", "9" * 5000 + "=nickel", "--out", "out"), "region number"),
        (("page", "--port", "99999"), "one from 1 to 65535"),
        (("sheet", JOB, "--kind", "n" * 5000), "invalid choice"),
    ],
)
def test_hostile_words_are_one_short_line(arguments, words, capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    try:
        code = run(*arguments, *(("--out", "o.zip") if arguments[1:] == ("n" * 300,) else ()))
    except SystemExit as stopped:
        code = stopped.code
    assert code == 2
    last = capsys.readouterr().err.splitlines()[-1]
    assert last.isprintable()
    assert len(last) < 500
    assert words in last
    assert not list(tmp_path.iterdir())
