"""The blade in the hand as a file, with versions beside it: what is said of each, and what is refused."""

from __future__ import annotations

import pytest

from preview.base.errors import RequestError
from preview.base.units import METRIC
from preview.sheets.choices import whole_words
from preview.sheets.mirror_words import MIRRORED
from preview.sheets.view import save_view


@pytest.mark.parametrize(
    ("name", "count", "message"),
    [("a.glb", 1, "versions to choose from go on a page"), ("a.html", 4, "at most 3 versions fit beside the first")],
)
def test_versions_go_on_a_page_and_are_few(job, tmp_path, name, count, message):
    with pytest.raises(RequestError, match=message):
        save_view(job, tmp_path / name, beside=(job,) * count)
    assert not list(tmp_path.iterdir())


def test_all_is_said_of_a_version_that_stands_alone(job):
    said = whole_words(job, None, METRIC).replace("\u00a0", " ")
    for words in (
        "flat ground at 6° a side",
        "satin, fine brushed lines of 400 grit",
        "in four blades of five",
        "is not seen: figures are cut off",
        "3 mm of the edge",
        MIRRORED,
    ):
        assert words in said
