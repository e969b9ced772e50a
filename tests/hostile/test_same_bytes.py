"""The same job and seed give the same bytes: each file that is written, whatever the hour, the zone, the hashes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.hostile.good import READINGS
from tests.test_cli import JOB

ROOT = Path(__file__).parents[2]

COMMANDS = (
    ("render", JOB, "--px-per-mm", "1", "--likely", "6"),
    ("dividers", JOB, "--bead", "0.6"),
    ("budget", JOB),
    ("trials", JOB, "--heights", "12,16"),
    ("sheet", JOB, "--kind", "client"),
    ("sheet", JOB, "--kind", "shop"),
    ("fill", JOB, "--dividers", "dividers/ordinary_printing/dividers.dxf", "--powders", "1=nickel"),
    ("fields", JOB, "--px-per-mm", "1"),
    ("pack", JOB),
    ("outline", JOB),
    ("calibrate", JOB, "--readings", "readings.csv"),
    ("sketch", str(ROOT / "demo_patterns" / "reed_sketch.jpg"), "--svg"),
)
ENDINGS = {"fields": ".npz", "pack": ".zip", "outline": ".svg", "calibrate": ".toml", "sketch": ".png"}

DAY = re.compile(rb"^date = .*$", re.MULTILINE)
SCRIPT = "import sys\nfrom preview.cli import main\nfor line in sys.stdin: main(line.rstrip().split('|'))"


def written(folder: Path, **known: str) -> dict[str, bytes]:
    """Return all files that the commands write, run in a process of its own."""
    folder.mkdir()
    (folder / "readings.csv").write_text(READINGS)
    lines = ""
    for command in COMMANDS:
        name = command[0] + (command[-1] if command[0] == "sheet" else "") + ENDINGS.get(command[0], "")
        lines += "|".join((*command, "--out", name)) + "\n"
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **known}
    script = [sys.executable, "-c", SCRIPT]
    subprocess.run(script, input=lines, cwd=folder, env=environment, capture_output=True, text=True, check=True)
    files = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    files["calibrate.toml"] = DAY.sub(b"", files["calibrate.toml"])  # of the smith's own clock, and told as such
    return files


@pytest.mark.slow
def test_each_file_is_the_same_bytes(tmp_path):
    first = written(tmp_path / "a", PYTHONHASHSEED="1", TZ="UTC")
    again = written(tmp_path / "b", PYTHONHASHSEED="4", TZ="Asia/Tokyo")
    assert len(first) > 40
    assert [name for name in first if first[name] != again.get(name)] == []
