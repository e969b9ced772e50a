"""Versions for a client to choose from, read back from the PDF."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from preview.base.errors import RequestError
from preview.base.papers import PAPERS
from preview.base.units import METRIC
from preview.face.view import View
from preview.forge.draws import likely
from preview.sheets.choices import Version, choices_sheet
from preview.sheets.client import SheetWords
from preview.sheets.paper import MARGIN, POINTS_PER_MM
from preview.sheets.rings import rings_beside
from preview.sheets.sheets import sheet_pdf
from tests.support.pdf import lowest_words, size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


@pytest.fixture(scope="module")
def versions(job):
    """The belt knife; the same half as long and polished; ground steeper; and the first once more."""
    outline = job.blade.outline.model_copy(update={"length": job.blade.outline.length / 2})
    short = {
        "title": "Short one",
        "blade": job.blade.model_copy(update={"outline": outline}),
        "light": job.light.model_copy(update={"finish": "polished"}),
    }
    steep = job.grind.right.model_copy(update={"angle": 8.0})
    ground = {"title": "Steep one", "grind": job.grind.model_copy(update={"right": steep})}
    found = []
    for each in (job, job.model_copy(update=short), job.model_copy(update=ground), job):
        view = View.of("right", each.blade, 4.0)
        face = np.full([round(4.0 * side) for side in view.size[::-1]], 128, dtype=np.uint8)
        found.append(Version(each, face, 4.0, likely(each, draws=6, width=120, looks=False, chances=False)))
    return tuple(found)


def pictures(pdf, page):
    """Return width and height, mm, of each picture of a page, and the lowest of their feet."""
    document = pypdfium2.PdfDocument(pdf)
    objects = [each for each in document[page].get_objects() if each.type == raw.FPDF_PAGEOBJ_IMAGE]
    boxes = np.array([each.get_bounds() for each in objects]) / POINTS_PER_MM
    document.close()
    return boxes[:, 2:] - boxes[:, :2], boxes[:, 1].min()


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_all_versions_stand_at_one_scale_with_their_words(versions, count, paper):
    told = SheetWords(maker="A smith (invented)", story="Waves that run.")
    pdf = choices_sheet(versions[:count], told, PAPERS[paper], METRIC)
    pages = size(pdf)[0]
    assert pages == 3 + (count > 2)  # three that may lie otherwise off have no room under the table
    text = " ".join(words(pdf).replace("\u00a0", " ").split())
    for word in (
        "A · Running wave", "B · Short one Cuts much as A does.", "flat ground at 6° a side on both faces", "(400 grit",
        "Against A: 65 mm shorter; polished, not satin", "in four blades out of five", "not its drawing",
        "Waves that run.", "Care", "Caution", "What the pictures do not show", "none is a photograph", "grind line",
    ):  # fmt: skip
        assert word in text, word
    # but for the second what lies furthest off is the same
    assert text.count("The pattern is least sure") == 2
    assert text.count("For the rest as with A") == (count > 2)
    assert ("A and D alike" in text) == (count > 3)
    assert text.count("heel, the blunt end") == count  # each is drawn with its parts named
    assert text.count("not a photograph") == pages  # on each
    # 1.85 mm of half the steel less half the edge, over the tangents of 6 and 8 degrees
    assert ("the grind ends 4.4 mm lower" in text) == ("its faces slope 8.0° a side, not 6.0°" in text) == (count > 2)
    assert text.count("Weight without handle some") == 1
    assert ("D · Running wave, a belt knife (invented) The same blade as A." in text) == (count > 3)
    assert "break" not in text  # there is no handle
    shown, lowest = pictures(pdf, 0)
    assert len(shown) == count
    (wide, high), (half, _) = shown[:2]
    scale = 146 / wide  # the blade and 8 mm beside it at either end
    assert half * scale == pytest.approx(65 + 16, abs=0.5)
    assert high * scale == pytest.approx(30 + 16, abs=0.5)
    assert (f"1 mm on them is {scale:.3g} mm" in text) if scale > 1.01 else "print at 100 %" in text
    assert lowest > 20  # above the foot
    rings, lowest = pictures(pdf, pages - 2)
    assert len(rings) == min(count, 3)  # the first and the last share theirs
    assert lowest > 15  # above the foot
    assert min(lowest_words(pdf)) > MARGIN - 1


def test_versions_are_for_the_client_and_four_at_most(job):
    with pytest.raises(RequestError, match="client's sheet"):
        sheet_pdf(job, "shop", beside=(job,))
    with pytest.raises(RequestError, match="at most 3 versions fit beside the first; given 4"):
        sheet_pdf(job, "client", beside=(job,) * 4)


def test_rings_stand_at_the_first_one_s_spots_on_all_of_its_outline(versions, monkeypatch):
    monkeypatch.setattr("preview.sheets.rings.RINGS_WIDTH", 120)
    first, short, steep, _ = rings_beside(tuple(each.job for each in versions))
    spots = [[(ring.along, ring.across) for ring in each.rings] for each in (first, short, steep)]
    assert spots[0] == spots[2] != spots[1]


def test_versions_that_may_lie_as_far_off_share_one_picture_of_rings(versions):
    pdf = choices_sheet((versions[0], versions[3]), SheetWords(), PAPERS["a4"], METRIC)
    assert len(pictures(pdf, 1)[0]) == 1
    assert "All versions alike" in words(pdf)
