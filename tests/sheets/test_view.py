"""The blade in the hand as a file, with versions beside it: what is said of each, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import RequestError
from preview.forge.draws import likely
from preview.sheets.client import SheetWords
from preview.sheets.mirror_words import MIRRORED
from preview.sheets.rings import RINGS_WIDTH
from preview.sheets.view import save_view, turning_page


@pytest.mark.parametrize(
    ("name", "count", "message"),
    [("a.glb", 1, "versions to choose from go on a page"), ("a.html", 4, "at most 3 versions fit beside the first")],
)
def test_versions_go_on_a_page_and_are_few(job, tmp_path, name, count, message):
    with pytest.raises(RequestError, match=message):
        save_view(job, tmp_path / name, beside=(job,) * count)
    assert not list(tmp_path.iterdir())


def test_all_is_said_of_a_blade_that_stands_alone_and_whose_it_is(job, monkeypatch):
    monkeypatch.setattr("preview.sheets.view.hand_page", lambda *given: given)
    (version,), by, table = turning_page(job, words=SheetWords(maker="A smith (invented)", date="May"))
    assert (version.name, by) == ("", "by A smith (invented)  ·  May")
    assert version.differs == ""
    assert [len(row) for row in table] == [2] * 5
    said = " ".join((*version.made, *version.sure, *table[-1])).replace("\u00a0", " ")
    for words in (
        "The blade is 130 mm long from the heel, its blunt end, to the tip, 30 mm high at the heel and 4.2 mm thick",
        "flat ground at 6° a side",
        "satin: fine brushed lines (400 grit; the higher the number, the finer)",
        "in four blades out of five",
        "As drawn, the pattern runs on beyond the blade: past the edge",
        "Do not add these (·) up",
        MIRRORED,
    ):
        assert words in said


def test_stills_tell_below_them_what_they_are(job, tmp_path, monkeypatch):
    shown = []
    monkeypatch.setattr(
        "preview.sheets.view.views", lambda _, told: shown.append(told) or np.zeros((9, 9, 3), np.uint8)
    )
    save_view(job, tmp_path / "a.png")
    ring = max(likely(job, width=RINGS_WIDTH, looks=False, chances=False).rings, key=lambda each: max(each.reach))
    assert shown == [
        "Running wave, a belt knife (invented), 130 mm from heel to tip: a likely look, not a photograph; the pattern "
        f"may lie up to {ring.reach[0]:.0f} mm off"
    ]
