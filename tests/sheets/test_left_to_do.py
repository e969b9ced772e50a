"""The shop's sheet once the bar was photographed: it begins with what is left to do."""

from __future__ import annotations

import pytest

from preview.job.file import load_job
from preview.job.seen import Seen
from preview.sheets.sheets import sheet_pdf
from preview.sheets.uncut_page import AS_SEEN, TO_COMPARE
from tests.conftest import DEMOS
from tests.support.pdf import lowest_words, paths, size, words


def as_seen(job):
    """Return a job whose bar was photographed, its pattern lying as it was reckoned."""
    none = ((0.0, 0.0), (0.0, 0.0))
    bar = job.history.bar
    size = bar.length, bar.width
    found = Seen(bar=size, start=(0, 0), spacing=size, along=none, across=none)
    return job.model_copy(update={"seen": "seen.toml", "found": found})


def told_of(pdf):
    return " ".join(words(pdf).replace("\u00a0", " ").split())


@pytest.mark.slow
def test_after_the_photograph_of_the_bar_neither_can_nor_heats_are_told():
    moon = load_job(DEMOS / "marsh_moon.toml")
    pdf = sheet_pdf(as_seen(moon), "shop")
    text = told_of(pdf)
    assert size(pdf)[0] == 3
    assert min(lowest_words(pdf)) > 11
    assert text.index("forged, milled flat and photographed") < text.index("Left to do, in this order")
    bar = moon.history.bar
    for said in (
        f"Measure the bar: no photograph tells its length and width, reckoned as {bar.length:.1f} x {bar.width:.1f} mm",
        "Cut the blade out", "etch 12 min, and sharpen last", "Cautions.", AS_SEEN["bar"],
    ):  # fmt: skip
        assert said in text
    for said in ("Can and fill", "Before the first heat", "Step by step", TO_COMPARE):
        assert said not in text
    # of a bar of 317 mm A4 holds 273; the tang, 95 mm long, begins 11 mm from its heel end
    beyond = bar.length - (297 - 24)
    assert text.count(f"the bar goes on {beyond:.0f} mm beyond the break at its heel end, and the tang 33 mm") == 2
    # and both outlines end at the paper's end, open there
    ends = [box for box in paths(pdf, 2) if box[2] - box[0] > 250 and box[3] - box[1] == pytest.approx(46, abs=0.1)]
    assert len(ends) == 2
    assert not [box for box in paths(pdf, 2, closed=True) if box[3] - box[1] > 40]


def test_before_it_the_sheet_tells_the_whole_work(shop):
    text = told_of(shop)
    assert TO_COMPARE in text
    assert "Can and fill" in text
    assert "Left to do" not in text
