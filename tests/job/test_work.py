"""Work that outlives a reload."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import FileError
from preview.job.work import MOST_KEPT, keep_work, new_work, reopen_work, work_folder
from preview.pipeline import preview


def test_work_outlives_a_reload(tmp_path, shown):
    name = new_work(tmp_path)
    folder = work_folder(tmp_path, name)
    assert reopen_work(folder) is None
    job = shown.job
    keep_work(folder, job)
    again = reopen_work(folder)
    assert again == job.model_copy(update={"folder": folder})
    np.testing.assert_array_equal(preview(again, px_per_mm=shown.px_per_mm).picture, shown.picture)
    keep_work(folder, again)


@pytest.mark.parametrize("name", ["", "../../etc", "0" * 24, "z" * 24])
def test_a_link_to_nothing(tmp_path, name):
    with pytest.raises(FileError, match="no longer kept"):
        work_folder(tmp_path, name)


def test_old_work_goes(tmp_path):
    import os

    names = [new_work(tmp_path) for _ in range(MOST_KEPT)]
    os.utime(tmp_path / names[7], (1, 1))
    (tmp_path / "not ours").mkdir()
    new_work(tmp_path)
    left = {path.name for path in tmp_path.iterdir()}
    assert names[7] not in left
    assert "not ours" in left
    assert len(left) == MOST_KEPT + 1
