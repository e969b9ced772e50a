"""A smith's own drawings on the page: of his blade, and of his pattern."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageDraw

from preview.blade.outlines import NamedOutline
from preview.blade.outlines.writing import outline_svg
from preview.pattern.raster import read_raster
from tests.page.visiting import control, open_panel, picture, visit
from tests.support.template_photo import Table, laid, photograph

BLADE = NamedOutline(shape="clip point", length=130, height=35, tang=60)


@pytest.fixture
def page():
    return visit(3)


def give_blade(page, content: bytes, name: str = "mine.svg"):
    open_panel(page, "Your drawings", "Blade profile")
    page.file_uploader(key="blade_drawing").set_value((name, content, "image/svg+xml")).run()
    assert not page.exception


@pytest.mark.slow
def test_a_drawn_blade_is_shown_as_understood_and_used(page):
    laid = page.session_state.table["pattern"]
    give_blade(page, outline_svg(BLADE).encode())
    words = " ".join(each.value for each in page.markdown)
    assert "130.0 mm" in words
    assert "tang" in words
    before = picture(page)
    page.button(key="use_outline").click().run()
    assert not page.exception
    assert not page.error
    assert page.session_state.good.blade.outline.shape == "drawn"
    assert page.session_state.good.blade.outline.length == pytest.approx(130, abs=0.01)
    assert page.session_state.table["pattern"] == laid
    assert picture(page).shape != before.shape
    assert "drawn" in control(page, "selectbox", "Outline").options
    page.button(key="undo").click().run()
    assert page.session_state.good.blade.outline.shape != "drawn"


def test_what_is_no_blade_is_refused_in_a_line(page):
    for content in (b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"nothing"):
        give_blade(page, content, f"m{len(content)}.svg")
        assert len(page.error) == 1
        assert not [each for each in page.button if each.key == "use_outline"]


@pytest.mark.slow
def test_a_photographed_template_is_sized_and_used(page):
    table = Table(room=(240, 110), size=(720, 330), ruler=(20.0, 6.0), finer=6)
    stream = io.BytesIO()
    Image.fromarray(photograph([laid(BLADE.profile, table)], table)).save(stream, "PNG")
    give_blade(page, stream.getvalue(), "mine.png")
    assert not page.error
    assert not [each for each in page.button if each.key == "use_outline"]  # nothing tells its size yet
    control(page, "number_input", "Length of the template's blade, mm").set_value(130.0).run()
    assert not page.error, page.error[0].value
    assert "largest dark shape" in " ".join(each.value for each in page.markdown)
    page.button(key="use_outline").click().run()
    assert not page.exception
    assert not page.error, page.error[0].value
    assert page.session_state.good.blade.outline.length == pytest.approx(130)
    assert page.session_state.good.blade.outline.drawing == "mine.png"
    page.selectbox(key="template_way").set_value("Two marks on a ruler").run()
    assert not page.exception
    assert any("Click two marks" in each.value for each in page.info)
    asked = page.session_state[f"template of {page.session_state['blade_drawing'].file_id}"]
    asked["marks"] += [tuple(each) for each in table.seen(np.array([[25, 84], [215, 84]])).tolist()]
    page.run()
    control(page, "number_input", "Between the marks, mm").set_value(190.0).run()
    assert not page.exception
    assert not page.error
    assert "by the marks 190 mm apart" in " ".join(each.value for each in page.markdown)


def drawing() -> bytes:
    """A disc and a bar in ink on a sheet."""
    sheet = Image.new("RGB", (900, 600), (240, 238, 232))
    pen = ImageDraw.Draw(sheet)
    pen.ellipse((150, 150, 450, 450), fill=(40, 40, 45))
    pen.rectangle((550, 250, 800, 350), fill=(40, 40, 45))
    stream = io.BytesIO()
    sheet.save(stream, "PNG")
    return stream.getvalue()


@pytest.mark.slow
def test_a_sketch_becomes_the_pattern(page):
    open_panel(page, "Your drawings", "Sketch")
    page.file_uploader(key="sketch").set_value(("pencil.png", drawing(), "image/png")).run()
    assert not page.exception
    assert not page.error, page.error[0].value
    blade = page.session_state.table["blade"]
    page.button(key="use_sketch").click().run()
    assert not page.exception
    assert not page.error, page.error[0].value
    job = page.session_state.good
    assert job.pattern.picture == "pencil_pattern.png"
    assert page.session_state.table["blade"] == blade
    assert job.pattern.size[0] / job.pattern.size[1] == pytest.approx(1.5, rel=0.02)
    assert any("Laid in the can," in each.value for each in page.markdown)
    assert all(round(side, 1) == side for side in job.pattern.size)
    raster = read_raster(job.picture_path, job.pattern, job.powders, job.pattern_area)
    dark = (np.pi * 150**2 + 250 * 100) / (900 * 600) * np.prod(job.pattern.size)
    bright = float(raster.share_of(("nickel",))[1:-1, 1:-1].sum() * np.prod(raster.cell))
    assert bright == pytest.approx(np.prod(job.pattern.size) - dark, rel=0.03)


def test_a_fault_is_told_by_the_name_of_its_control(page):
    page.session_state.table["grind"]["right"].update(hold="height", height=34.0)
    low = NamedOutline(shape="clip point", length=130, height=28)
    give_blade(page, outline_svg(low).encode())
    page.button(key="use_outline").click().run()
    assert page.warning[0].value.startswith("- The grind, right face, Grind height: has to be at most")
