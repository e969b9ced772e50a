"""The handbook's example runs, its job is a job, and the README's commands are what CI runs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image

from preview.job.file import parse_job

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
HANDBOOK = (ROOT / "demo_patterns" / "HANDBOOK.md").read_text("utf-8")


def block(language: str, text: str = HANDBOOK) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)


def test_python_example_runs(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    (example,) = block("python")
    assert len([line for line in example.splitlines() if line.strip()]) <= 10
    exec(compile(example, "HANDBOOK.md", "exec"), {})
    assert "came from [[" in capsys.readouterr().out


def test_job_example_is_a_job():
    job = parse_job(block("toml")[0], ROOT)
    assert job.grind.right.kind == "hollow"
    assert len(job.forging) == 3


def test_each_command_is_one_line():
    run, test, *_ = block("sh", README)
    for command, end in ((run, "etch-preview page"), (test, "pytest -q")):
        assert command.count("\n") == 1
        assert command.startswith("python3 -m venv .venv && ")
        assert command.strip().endswith(end)
    assert "grep -m1 -E '^python3 -m venv .*pytest' README.md" in (ROOT / ".ci" / "run").read_text()


def test_pictures_are_there():
    names = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    assert names
    for name in names:
        with Image.open(ROOT / name) as picture:
            picture.load()


@pytest.mark.parametrize("name", ["README.md", "demo_patterns/HANDBOOK.md", "DEVELOPERS.md"])
def test_links_lead_somewhere(name):
    text = (ROOT / name).read_text("utf-8")
    links = [(ROOT / name).parent / link for link in re.findall(r"\[[^]]+\]\((?!http)([^)#]+)\)", text)]
    links += [ROOT / path for path in re.findall(r"`((?:preview|tests|demo_patterns)/[\w./]+)`", text)]
    assert links
    for link in links:
        assert link.exists(), link
