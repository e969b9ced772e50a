"""Work that outlives a reload."""

from __future__ import annotations

import pytest

from preview.base.errors import FileError
from preview.job.work import MOST_KEPT, new_work, work_folder


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
