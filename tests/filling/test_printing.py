from __future__ import annotations

import html

import numpy as np
import pytest
import trimesh
from PIL import Image

from preview.base.errors import JobError
from preview.base.units import Units
from preview.filling.printing import DIVIDER_FILES, dividers_of, save_dividers
from preview.job.file import load_job
from preview.pattern.pattern import Pattern
from tests.conftest import DEMOS


def test_saved_whole_or_not_at_all(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    place = tmp_path / "ordinary_printing"
    place.mkdir()
    (place / "dividers.dxf").write_text("mine")
    from preview.base.errors import FileError

    with pytest.raises(FileError, match=r"dividers\.dxf: exists already"):
        save_dividers(job, tmp_path)
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == ["dividers.dxf"]
    written = save_dividers(job, tmp_path, units=Units(sizes="inch"), force=True)
    assert {path.relative_to(tmp_path).as_posix() for path in written} == {
        *(f"ordinary_printing/{name}" for name in DIVIDER_FILES),
        *(f"spiral_printing/insert.{kind}" for kind in ("stl", "3mf", "svg", "dxf", "txt")),
        "spiral_printing/insert_preview.png",
        "can_plan.svg",
    }
    assert trimesh.load(place / "dividers.stl").is_watertight
    parts, insert = (path.read_text() for path in written if path.suffix == ".txt")
    for text in (parts, insert):
        assert " in " in text
        assert " mm" not in text.replace("25 mm (1 inch)", "")
    assert "Vent the can" in parts
    for text in (parts, insert):
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
