"""Work that outlives a reload."""

from __future__ import annotations

import pytest

from preview.base.errors import FileError
from preview.job.work import work_folder


@pytest.mark.parametrize("name", ["", "../../etc", "0" * 24, "z" * 24])
def test_a_link_to_nothing(tmp_path, name):
    with pytest.raises(FileError, match="no longer kept"):
        work_folder(tmp_path, name)
