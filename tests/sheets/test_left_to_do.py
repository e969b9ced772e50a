"""The shop's sheet once the bar was photographed: it begins with what is left to do."""

from __future__ import annotations

import pytest

from preview.base.cautions import CAUTIONS, FORGED_CAUTIONS
from preview.base.units import METRIC
from preview.job.file import dump_job, load_job, parse_job
from preview.job.seen import Seen
from preview.sheets.bar_sheet import Distances, bar_size, bar_words
from preview.sheets.left_to_do import measure_words
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
        "search the blade's place again", "not measured: mark it from its middle lines alone",
        "From the bar's middle lines: heel 52.5 mm towards the heel, edge line 23.0 mm towards the edge.",
        "Saw the blade out", "etch 12 min, and sharpen last", "Cautions. Fire and quench", AS_SEEN["bar"],
    ):  # fmt: skip
        assert said in text
    for said in ("Can and fill", "Before the first heat", "Step by step", TO_COMPARE, "Vent the can", "106.0"):
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


def test_a_measured_bar_is_reckoned_from():
    """Heel 52.5 mm and edge line 23 mm from the middle lines of 310 x 47.5 mm, worked by hand."""
    moon = as_seen(load_job(DEMOS / "marsh_moon.toml"))
    measured = moon.model_copy(update={"measured_bar": (310.0, 47.5)})
    assert bar_size(measured) == (310.0, 47.5)
    far = Distances.of(measured)
    assert far.all == pytest.approx((155 - 52.5, 155 + 52.5 - 200, 23.75 - 23, 23.75 - 23), abs=1e-6)
    assert "310.0 x 47.5 x 3.6 mm" in bar_words(measured, METRIC)
    assert "measured as 310.0 x 47.5 mm" in measure_words(measured, METRIC)
    assert min(Distances.of(moon.model_copy(update={"measured_bar": (300.0, 45.0)})).all) < 0


def test_one_that_is_not_forged_yet_is_as_reckoned():
    moon = load_job(DEMOS / "marsh_moon.toml")
    assert bar_size(moon.model_copy(update={"measured_bar": (310.0, 47.5)})) == moon.history.bar.size[:2]


def test_the_measured_size_is_kept_in_the_file():
    moon = load_job(DEMOS / "marsh_moon.toml").model_copy(update={"measured_bar": (310.0, 47.5)})
    assert parse_job(dump_job(moon), moon.folder) == moon


def test_cautions_fit_what_is_left():
    """Common practice, no published source."""
    told = " ".join(FORGED_CAUTIONS)
    for said in ("extinguisher", "lid", "never water", "crack", "eyes, ears", "respirator", "Local codes"):
        assert said in told
    assert not set(FORGED_CAUTIONS) & set(CAUTIONS[:3])
