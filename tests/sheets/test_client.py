"""The client's sheet, read back from the PDF."""

from __future__ import annotations

import pypdfium2
import pytest
from pypdfium2 import raw

from preview.base.papers import PAPERS
from preview.job.faults import make_settings
from preview.sheets.client import SheetWords
from preview.sheets.paper import POINTS_PER_MM
from preview.sheets.sheets import sheet_pdf
from tests.support.pdf import size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_the_client_sheet(job):
    who = {"maker": "A smith (invented)", "made_for": "a friend", "date": "today"}
    told = make_settings(SheetWords, {**who, "story": "Waves < & dots > \n that run."}, "sheet")
    pdf = sheet_pdf(job, "client", told, "letter")
    pages, paper = size(pdf)
    assert pages == 2
    assert paper == pytest.approx(PAPERS["letter"], abs=0.01)
    text = words(pdf).replace("\u00a0", " ").replace("\r\n", " ")
    for word in (
        "Running wave", "by A smith (invented)", "for a friend", "Waves < & dots >", "equally likely", "Care",
        "Caution", "4 % nickel", "print at 100 %", "not a photograph",
    ):  # fmt: skip
        assert word in text, word
    assert "promise" not in text.lower()
    assert "guarantee" not in text.lower()
    document = pypdfium2.PdfDocument(pdf)
    pictures = [each for each in document[0].get_objects() if each.type == raw.FPDF_PAGEOBJ_IMAGE]
    wide = [(box[2] - box[0]) / POINTS_PER_MM for box in (each.get_bounds() for each in pictures)]
    document.close()
    assert wide == pytest.approx([130 + 16] * 2, abs=0.1)  # the blade and its 8 mm rim at true size
