"""The client's sheet, read back from the PDF."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from preview.base.papers import PAPERS
from preview.base.units import METRIC
from preview.face.view import View
from preview.forge.draws import likely
from preview.job.faults import make_settings
from preview.sheets.client import SheetWords, client_sheet, told_of_years
from preview.sheets.paper import MARGIN, POINTS_PER_MM
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


MARKED_AT, SEEN_AT = 4.0, 10.0
"""Pixels in a millimetre of the faces with marks at heel and tip, and of the page that they are measured on."""


@pytest.fixture(scope="module")
def quick(job):
    return likely(job, draws=6, width=120, chances=False)


@pytest.mark.parametrize(
    ("length", "tang", "smaller", "told"),
    [
        (130, 100, 1.0, ""),  # all of it has room on A4
        (200, 100, 1.0, "its handle goes on 47 mm beyond the break"),
        (200, 40, 1.0, "its handle goes on 47 mm beyond the break"),  # a hand takes hold of 112 mm
        (270, 100, 1.5, "Shown 1.5 times smaller than life: the blade is 270 mm long"),
    ],
)
def test_a_blade_keeps_its_true_size_where_its_handle_has_no_room(job, quick, length, tang, smaller, told):
    outline = job.blade.outline.model_copy(update={"length": length, "tang": tang})
    long = job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})
    faces = []
    for side in ("right", "left"):
        view = View.of(side, long.blade, MARKED_AT)
        width, height = (round(MARKED_AT * each) for each in view.size)
        face = np.full((height, width), 255, dtype=np.uint8)
        marked = view.pixels(np.array([(0.0, 0.0), (length, 0.0)]))[:, 0].round().astype(int)
        for each in marked:
            face[height // 3 : height // 2, each - 2 : each + 2] = 0  # a millimetre wide
        faces.append(face)
    pdf = client_sheet(long, tuple(faces), MARKED_AT, quick, told_of_years(job), SheetWords(), PAPERS["a4"], METRIC)
    text = words(pdf).replace("\u00a0", " ").replace("\r\n", " ")
    assert told in text
    assert ("print at 100 %" in text) == (smaller == 1.0)
    assert ("break" in text) == ("break" in told)
    document = pypdfium2.PdfDocument(pdf)
    printed = np.asarray(document[0].render(scale=SEEN_AT / POINTS_PER_MM).to_pil().convert("L"))
    boxes = [each.get_bounds() for each in document[0].get_objects() if each.type == raw.FPDF_PAGEOBJ_IMAGE]
    document.close()
    for left, low, right, high in np.array(boxes) / POINTS_PER_MM:
        assert right - left < PAPERS["a4"][0] - 2 * MARGIN + 0.1
        top, tall = PAPERS["a4"][1] - high, high - low
        rows = slice(*(round(SEEN_AT * (top + share * tall)) for share in (0.36, 0.42)))
        columns = slice(*(round(SEEN_AT * each) for each in (left + 1, right - 1)))
        dark = np.flatnonzero(printed[rows, columns].mean(axis=0) < 128)
        assert (dark[-1] - dark[0]) / SEEN_AT == pytest.approx((length + 1) / smaller, abs=0.3)
