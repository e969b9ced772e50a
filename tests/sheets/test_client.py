"""The client's sheet, read back from the PDF."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from preview.base.papers import PAPERS
from preview.base.units import METRIC
from preview.face.view import View
from preview.filling.insert import insert_of
from preview.forge.draws import likely
from preview.forge.ellipses import with_ellipses
from preview.job.faults import make_settings
from preview.job.file import load_job
from preview.look.backdrop import backdrop
from preview.pipeline import face_maps
from preview.sheets.client import HELD, NAME, SheetWords, client_sheet, handle_room
from preview.sheets.client_words import client_words, client_years, left_out_words, told_of_years
from preview.sheets.cut_off_words import cut_off_words
from preview.sheets.paper import MARGIN, POINTS_PER_MM
from preview.sheets.rings import by_the_tip, rings_picture
from preview.sheets.seam_words import SEAMS, seam_words
from preview.sheets.sheets import sheet_pdf
from tests.conftest import DEMOS
from tests.support.pdf import lowest_words, size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_the_client_sheet(job):
    who = {"maker": "A smith (invented)", "made_for": "a friend", "date": "today"}
    told = make_settings(SheetWords, {**who, "story": "Waves < & dots > \n that run."}, "sheet")
    pdf = sheet_pdf(job, "client", told, "letter")
    pages, paper = size(pdf)
    assert pages == 3
    assert paper == pytest.approx(PAPERS["letter"], abs=0.01)
    text = words(pdf).replace("\u00a0", " ").replace("\r\n", " ")
    for word in (
        "Running wave", "by A smith (invented)", "for a friend", "Waves < & dots >", "the middle of what",
        "yours will look more like one of", "Care", "Caution",
        "4 % nickel", "print at 100 %", "(1.97 in)", "cut across", "After 3 mm of sharpening",
    ):  # fmt: skip
        assert word in text, word
    assert text.count("not a photograph") == 3  # on each page
    assert "promise" not in text.lower()
    assert "guarantee" not in text.lower()
    document = pypdfium2.PdfDocument(pdf)
    pictures = [each for each in document[0].get_objects() if each.type == raw.FPDF_PAGEOBJ_IMAGE]
    wide = [(box[2] - box[0]) / POINTS_PER_MM for box in (each.get_bounds() for each in pictures)]
    document.close()
    assert wide == pytest.approx([130 + 16] * 2, abs=0.1)  # the blade and its 8 mm rim at true size


def test_a_face_s_name_is_told_from_the_ground_it_stands_on(job):
    """Contrast by WCAG 2.1, success criterion 1.4.3: 4.5 to 1 at least."""
    slate, _ = backdrop(View.of("right", job.blade, 4.0), None, job.seed)
    ground = float(slate[: round(4.0 * 5), : round(4.0 * 25)].max())
    red, green, blue = (((each + 0.055) / 1.055) ** 2.4 for each in NAME)
    assert (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05) / (ground + 0.05) > 4.5


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
        (270, 100, 1.5, "1 mm on them is 1.5 mm of the blade, which is 270 mm long"),
    ],
)
def test_a_blade_keeps_its_true_size_where_its_handle_has_no_room(job, quick, length, tang, smaller, told):
    outline = job.blade.outline.model_copy(update={"length": length, "tang": tang})
    long = job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})
    faces = []
    for side in ("right", "left"):
        view = replace(View.of(side, long.blade, MARKED_AT), most_behind=handle_room(long, PAPERS["a4"][0]))
        width, height = (round(MARKED_AT * each) for each in view.size)
        face = np.full((height, width), 255, dtype=np.uint8)
        marked = view.pixels(np.array([(0.0, 0.0), (length, 0.0)]))[:, 0].round().astype(int)
        for each in marked:
            face[height // 3 : height // 2, each - 2 : each + 2] = 0  # a millimetre wide
        faces.append(face)
    pdf = client_sheet(long, tuple(faces), MARKED_AT, quick, client_years(job), SheetWords(), PAPERS["a4"], METRIC)
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


def test_a_long_story_runs_over_no_page(job, quick):
    long = job.model_copy(update={"title": "A blade whose name goes on and on " * 2})
    view = View.of("right", job.blade, MARKED_AT)
    face = np.full([round(MARKED_AT * each) for each in view.size[::-1]], 128, dtype=np.uint8)
    told = SheetWords(story="Waves that run.\n" * 26)
    pdf = client_sheet(long, (face, face), MARKED_AT, quick, client_years(job), told, PAPERS["letter"], METRIC)
    assert words(pdf).count("Waves that run") == 26
    assert min(lowest_words(pdf)) > MARGIN - 1
    assert size(pdf)[0] == 4


def test_a_client_is_told_of_seams_and_on_how_much_bridges_show():
    wave = load_job(DEMOS / "running_wave.toml")
    told = seam_words(wave, METRIC)
    streaks = round(insert_of(wave).found.harm)
    assert f"at most {streaks:.0f} mm² of both faces together, as much as a square {streaks**0.5:.2g} mm wide" in told
    assert told in left_out_words(wave, METRIC).replace("\u00a0", " ")
    one_wall = load_job(DEMOS / "along_the_bar.toml")
    assert seam_words(one_wall, METRIC) == SEAMS  # its bridges show on a seventh of a square millimetre


def test_the_client_is_told_what_the_rings_show(job, quick):
    """Each number stands in the words as the picture has it, and the rings' middles are bright."""
    (_, expect), *_ = client_words(job, quick, told_of_years(job), "", METRIC)
    expect = expect.replace("\u00a0", " ")
    told = re.findall(r"([\d.]+) mm (?:near|in)\b", expect)
    assert [float(each) for each in told] == pytest.approx([ring.reach[0] for ring in quick.rings], abs=0.51)
    for ring in quick.rings:
        assert f"({ring.along:.0f} mm from" in expect
    assert f"Up and down they reach {max(ring.reach[1] for ring in quick.rings):.1f} mm at most" in expect
    middles = quick.view.pixels(np.array([(ring.along, ring.across) for ring in quick.rings])).round().astype(int)
    seen = quick.picture[middles[:, 1], middles[:, 0]].mean(axis=1)
    assert (seen > np.median(quick.picture)).all()


@pytest.mark.parametrize("long", [130, 300])
def test_how_far_a_ring_reaches_stands_beside_the_blade_with_a_line_to_it(job, quick, long):
    """On the blade lie rings and one thin line for each; beside it are letters, none of them cut off."""
    outline = job.blade.outline.model_copy(update={"length": long})
    view = View.of("right", job.blade.model_copy(update={"outline": outline}), 4.0)
    slate = np.zeros([round(4.0 * side) for side in view.size[::-1]], dtype=np.uint8)
    rings = tuple(replace(ring, along=at * long) for ring, at in zip(quick.rings, (0.04, 0.5, 0.95), strict=True))
    found = replace(quick, view=view, picture=slate, rings=rings)
    new = (rings_picture(found, METRIC) != with_ellipses(slate, view, rings)).any(axis=2)
    on_blade = view.framed(view.grid.mask, 0).astype(bool)
    at = view.pixels(np.array([(ring.along, ring.across) for ring in rings]))[:, 0]
    columns = np.flatnonzero((new & on_blade).any(axis=0))
    assert set(np.abs(columns[:, None] - at).argmin(axis=1)) == {0, 1, 2}
    assert np.abs(columns[:, None] - at).min(axis=1).max() < 3
    assert (new & ~on_blade).sum() > 300
    assert not new[[0, -1]].any()


def test_the_tip_is_said_to_cut_what_the_rings_reach_beyond_it(job, quick):
    """With all rings pulled in to a point nothing is cut; the further they reach, the more."""
    shares = []
    for reach in (0.0, 10.0, 25.0):
        rings = tuple(replace(ring, half_long=reach, half_short=0.0, turn=0.0) for ring in quick.rings)
        told = by_the_tip(job, replace(quick, rings=rings), METRIC)
        found = re.search(rf"comes out {reach:.0f} mm nearer the tip, .* cuts off some (\d+) % of what is bright", told)
        shares.append(int(found[1]) if found else 0)
    assert shares[0] == 0 < shares[1] < shares[2]


def test_the_client_is_told_what_is_cut_off(job):
    """Where the words have a figure cut, the face is bright right at its rim."""
    told = cut_off_words(job, METRIC)
    assert "%" not in told  # how much it is stands in the smith's report
    told = told.partition("As drawn, the pattern runs on beyond the blade: past the edge")[2]
    assert told
    face = face_maps(job, 8.0)[0]
    on_blade, bright = face.grid.mask, face.share_of(job.bright_powders) > 0.5
    assert told.endswith("Where it passes the spine it shows on that narrow side too.")
    edge, spine, _ = told.split("the spine")
    for text, low in ((edge, True), (spine, False)):
        for start, end in re.findall(r"(\d+) to (\d+)", text):
            for column in (8 * int(start) + 8, 8 * int(end) - 8):
                rows = np.flatnonzero(on_blade[:, column])
                assert bright[rows[-1 if low else 0], column]
    assert cut_off_words(load_job(DEMOS / "along_the_bar.toml"), METRIC) == ""  # its pattern has no end


@pytest.mark.parametrize(("length", "shown"), [(130, 297 - 24 - 130 - 8), (245, 297 - 24 - 245 - 8), (260, None)])
def test_the_handle_gets_what_the_blade_leaves_of_the_paper(job, length, shown):
    outline = job.blade.outline.model_copy(update={"length": length, "tang": 100})
    long = job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})
    assert handle_room(long, PAPERS["a4"][0]) == shown
    if shown is not None:
        view = replace(View.of("right", long.blade, MARKED_AT), most_behind=shown)
        assert view.shown_behind == pytest.approx(min(shown, 112 + 8))  # a hand takes hold of 112 mm
        assert view.shown_behind > HELD
        assert view.size[0] < PAPERS["a4"][0] - 2 * MARGIN + 1e-6
