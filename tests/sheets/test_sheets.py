"""Sheets: read back from the PDF, in millimetres."""

from __future__ import annotations

import ctypes
import io

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from pypdfium2 import raw

from preview.base.errors import FileError, RequestError
from preview.base.units import Units
from preview.job.faults import make_settings
from preview.job.file import load_job
from preview.sheets.client import SheetWords
from preview.sheets.paper import CHECK_BAR, PAPERS, POINTS_PER_MM, page_pictures
from preview.sheets.sheets import save_sheet, sheet_pdf
from tests.conftest import DEMOS

# the reader keeps its pages until the interpreter ends
pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def paths(pdf: bytes, page: int) -> list[tuple[float, float, float, float]]:
    """Return the boxes of a page's paths by the points they are drawn through: left, low, right, top in mm."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for each in document[page].get_objects():
        if each.type != raw.FPDF_PAGEOBJ_PATH:
            continue
        points = []
        for number in range(raw.FPDFPath_CountSegments(each.raw)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(each.raw, number), x, y)
            points.append((x.value / POINTS_PER_MM, y.value / POINTS_PER_MM))
        (left, right), (low, top) = ((min(side), max(side)) for side in zip(*points, strict=True))
        found.append((left, low, right, top))
    document.close()
    return found


def words(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return text


def size(pdf: bytes) -> tuple[int, tuple[float, float]]:
    document = pypdfium2.PdfDocument(pdf)
    found = len(document), tuple(side / POINTS_PER_MM for side in document[0].get_size())
    document.close()
    return found


@pytest.fixture(scope="module")
def job():
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="module")
def shop(job):
    return sheet_pdf(job, "shop", make_settings(SheetWords, {"maker": "Łukasz & Søn (invented)"}, "sheet"))


def test_the_shop_sheet_is_true_to_scale(job, shop):
    assert size(shop) == (2, pytest.approx((297, 210), abs=0.01))
    boxes = paths(shop, 1)
    bars = [box for box in boxes if box[2] - box[0] == pytest.approx(CHECK_BAR, abs=0.02) and box[3] - box[1] < 2]
    assert len(bars) == 1
    outline = job.blade.outline
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    blades = [box for box in boxes if (box[2] - box[0], box[3] - box[1]) == near]
    assert len(blades) == 2  # both faces


def test_the_grind_line_stands_where_it_is_ground(job, shop):
    """On the template the line's lowest point lies its height over the edge's baseline, by the page's own lines."""

    outline = job.blade.outline
    boxes = paths(shop, 1)
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    blade = max((box for box in boxes if (box[2] - box[0], box[3] - box[1]) == near), key=lambda box: box[3])
    place = np.array([job.grind.heel_flat + 10])
    height = float(job.ground.bevel("right", place).height[0])
    start = pytest.approx(blade[0] + job.grind.heel_flat, abs=0.3)
    lines = [box for box in boxes if box[0] == start and box[2] - box[0] > 60 and box[1] > blade[1] + 5]
    assert any(box[1] - blade[1] == pytest.approx(height, abs=0.1) for box in lines)


def test_the_shop_sheet_says_what_the_shop_needs(shop):
    text = words(shop)
    for word in (
        "Łukasz & Søn", "Can and fill", "weigh in", "Step by step", "read at 1000 °C", "your reading",
        "mm from the heel", "Etch 12 min", "Cautions", "Vent the can", "50 mm", "Marking templates", "Left face",
    ):  # fmt: skip
        assert word in text, word


def test_sheets_in_inches_and_fahrenheit(job):
    units = Units(sizes="inch", heats="°F")
    said = make_settings(SheetWords, {"story": "A wave of 50 mm."}, "sheet")
    shop = sheet_pdf(job, "shop", said, "letter", units)
    text = words(shop)
    for word in (
        "sizes in inches",
        "inches from the heel",
        "Press to 0.945 in, 2 passes",
        "read at 1832 °F",
        "half inch",
    ):
        assert word in text, word
    assert "°C" not in text
    assert text.count(" mm") == 2  # the check bar, and the rule for the soak, which says both
    client = " ".join(words(sheet_pdf(job, "client", said, "letter", units)).split())
    assert "5.12 in long and 1.18 in high" in client
    assert "A wave of 50 mm." in client  # the maker's own words stay


def test_marks_stand_every_half_inch(job):
    """On each face's template, ticks 12.7 mm apart from the heel, those of whole inches the longer ones."""
    ticks = [box for box in paths(sheet_pdf(job, "shop", units=Units(sizes="inch")), 1) if box[2] - box[0] < 0.01]
    marks = [(box[0], box[3] - box[1]) for box in ticks if box[3] - box[1] < 5]
    each = int(job.blade.outline.length / 12.7) + 1
    for face, way in ((marks[:each], 1), (marks[each:], -1)):
        places, lengths = np.transpose(face)
        np.testing.assert_allclose(places, places[0] + way * 12.7 * np.arange(each), atol=0.02)
        np.testing.assert_allclose(lengths, np.where(np.arange(each) % 2, 1.5, 3.0), atol=0.02)


def test_a_blade_too_long_for_the_paper(job):
    outline = job.blade.outline.model_copy(update={"length": 330.0})
    can = job.can.model_copy(update={"length": 160.0})
    long = job.model_copy(update={"can": can, "blade": job.blade.model_copy(update={"outline": outline})})
    with pytest.raises(RequestError, match="paper: the templates at true size need 57 mm more"):
        sheet_pdf(long, "shop")
    assert size(sheet_pdf(long, "shop", paper="a3"))[1] == pytest.approx((420, 297), abs=0.01)
    assert "1.5 times smaller" in words(sheet_pdf(long, "client"))
    with pytest.raises(RequestError, match="paper: one of a4, letter"):
        sheet_pdf(job, "client", paper="a7")


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


def test_files_and_bad_words(job, tmp_path):
    names = [path.name for path in save_sheet(job, "shop", tmp_path)]
    assert names == ["shop_sheet.pdf", "shop_sheet_1.png", "shop_sheet_2.png"]
    with Image.open(tmp_path / "shop_sheet_1.png") as page:
        assert page.info["dpi"][0] == pytest.approx(150, abs=0.1)
        assert page.width == pytest.approx(297 / 25.4 * 150, abs=1)

    with pytest.raises(FileError, match="exists already"):
        save_sheet(job, "shop", tmp_path)
    with pytest.raises(RequestError, match=r"sheet\.story"):
        make_settings(SheetWords, {"story": "x" * 2000}, "sheet")


def test_every_demo_has_its_sheets():
    for path in sorted(DEMOS.glob("*.toml")):
        pdf = sheet_pdf(load_job(path), "shop")
        assert size(pdf)[0] == 2
        with Image.open(io.BytesIO(page_pictures(pdf, 40)[1])) as page:
            assert np.asarray(page.convert("L")).min() < 80
