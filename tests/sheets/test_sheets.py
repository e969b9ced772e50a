"""Sheets of either kind, read back from their PDF; trials in files."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import RequestError
from preview.base.units import Units
from preview.job.faults import make_settings
from preview.sheets.client import SheetWords
from preview.sheets.paper import page_pictures
from preview.sheets.sheets import (
    save_sheet,
    sheet_pdf,
)
from preview.trials.trial_files import TRIAL_FILES, save_trials
from preview.trials.trials import TrialGrinds
from tests.support.pdf import size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_sheets_in_inches_and_fahrenheit(job, inch_shop):
    text = " ".join(words(inch_shop).split())  # wherever a line is broken
    for word in (
        "sizes in inches",
        "inches from the",
        "Press to 0.945 in, 2 passes",
        "read at 1832 °F",
        "half inch",
    ):
        assert word in text, word
    assert "°C" not in text
    assert text.count(" mm") == text.count("If this bar is 50 mm") == 3  # can, templates, bar: no other size
    said = make_settings(SheetWords, {"story": "A wave of 50 mm."}, "sheet")
    client = " ".join(words(sheet_pdf(job, "client", said, "letter", Units(sizes="inch", heats="°F"))).split())
    assert "5.12 in long from the heel, its blunt end, to the tip, 1.18 in high" in client
    assert "A wave of 50 mm." in client  # the maker's own words stay


@pytest.mark.slow
def test_a_blade_too_long_for_the_paper(job):
    outline = job.blade.outline.model_copy(update={"length": 330.0})
    can = job.can.model_copy(update={"length": 160.0})
    long = job.model_copy(update={"can": can, "blade": job.blade.model_copy(update={"outline": outline})})
    with pytest.raises(RequestError, match="paper: the templates at true size need 57 mm more"):
        sheet_pdf(long, "shop")
    assert size(sheet_pdf(long, "shop", paper="a3"))[1] == pytest.approx((420, 297), abs=0.01)
    assert "1 mm on them is 1.5 mm of the blade" in " ".join(words(sheet_pdf(long, "client")).split())
    with pytest.raises(RequestError, match="paper: one of a4, letter"):
        sheet_pdf(job, "client", paper="a7")


def test_files_and_bad_words(job, tmp_path):
    names = [path.name for path in save_sheet(job, "shop", tmp_path)]
    assert names == ["shop_sheet.pdf", *(f"shop_sheet_{page}.png" for page in (1, 2, 3, 4))]
    with Image.open(tmp_path / "shop_sheet_1.png") as page:
        assert page.info["dpi"][0] == pytest.approx(150, abs=0.1)
        assert page.width == pytest.approx(297 / 25.4 * 150, abs=1)
    from preview.base.errors import FileError

    with pytest.raises(FileError, match="exists already"):
        save_sheet(job, "shop", tmp_path)
    with pytest.raises(RequestError, match=r"sheet\.story"):
        make_settings(SheetWords, {"story": "x" * 2000}, "sheet")


@pytest.mark.slow
def test_every_demo_has_its_sheets(demo):
    pdf = sheet_pdf(demo, "shop")
    assert size(pdf)[0] in {4, 5}  # where the order of work does not fit beside the rest it has a page of its own
    with Image.open(io.BytesIO(page_pictures(pdf, 40)[2])) as page:
        assert np.asarray(page.convert("L")).min() < 80


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "one of heights, angles and kinds"),
        ({"heights": [1], "angles": [2]}, "one of heights, angles and kinds"),
        ({"heights": ["x"]}, r"trials\.heights"),
        ({"kinds": ["wavy"]}, r"trials\.kinds"),
        ({"heights": list(range(1, 14))}, r"trials\.heights"),
    ],
)
def test_bad_lists(values, words):
    with pytest.raises(RequestError, match=words):
        make_settings(TrialGrinds, values, "trials")


def test_trials_in_files(job, tmp_path):
    paths = save_trials(job, TrialGrinds(kinds=("flat", "hollow")), tmp_path)
    assert [path.name for path in paths] == list(TRIAL_FILES)
    assert "Go in this order" in (tmp_path / "trials.txt").read_text()
