from __future__ import annotations

import html

import numpy as np
import pytest
import trimesh
from PIL import Image

from preview.base.errors import JobError
from preview.filling.printing import DIVIDER_FILES, dividers_of, save_dividers
from preview.job.file import load_job
from preview.pattern.pattern import Pattern
from tests.conftest import DEMOS


def test_saved_whole_or_not_at_all(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    (tmp_path / "dividers.dxf").write_text("mine")
    from preview.base.errors import FileError

    with pytest.raises(FileError, match=r"dividers\.dxf: exists already"):
        save_dividers(job, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["dividers.dxf"]
    assert {path.name for path in save_dividers(job, tmp_path, force=True)} == {
        *DIVIDER_FILES,
        *(f"insert.{kind}" for kind in ("stl", "3mf", "svg", "dxf", "txt")),
        "insert_preview.png",
        "can_plan.svg",
    }
    assert trimesh.load(tmp_path / "dividers.stl").is_watertight
    parts, insert = ((tmp_path / name).read_text() for name in ("dividers.txt", "insert.txt"))
    assert "Vent the can" in parts
    for text in (parts, insert):  # their files lie in one folder
        assert "not both" in text.splitlines()[0]
    words = (tmp_path / "can_plan.svg").read_text()
    assert "The can's plan: Running wave" in html.unescape(words)
    assert f"Filled to {job.can.fill_density:.3f} of solid steel" in words


def test_ten_thousand_specks_are_refused_in_one_line(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    speck = np.pad(np.full((8, 14), 255, dtype=np.uint8), ((4, 4), (7, 7)))
    Image.fromarray(np.tile(speck, (100, 100))).save(tmp_path / "specks.png")
    job = job.model_copy(update={"pattern": Pattern(picture="specks.png"), "folder": tmp_path})
    with pytest.raises(JobError, match=r"pattern: has \d+ walls; at most 5000 are printed; larger pieces are needed"):
        dividers_of(job)
