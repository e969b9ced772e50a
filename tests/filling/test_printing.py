from __future__ import annotations

import pytest
import trimesh

from preview.filling.printing import DIVIDER_FILES, save_dividers
from preview.job.file import load_job
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
    assert "Vent the can" in (tmp_path / "dividers.txt").read_text()
