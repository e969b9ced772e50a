"""The shop's templates, read back from the PDF, in millimetres."""

from __future__ import annotations

import numpy as np
import pytest

from preview.sheets.sheets import sheet_pdf
from tests.support.pdf import paths, size, words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_the_shop_sheet_is_true_to_scale(job, shop):
    assert size(shop) == (4, pytest.approx((297, 210), abs=0.01))
    boxes = paths(shop, 2)
    bars = [box for box in boxes if box[2] - box[0] == pytest.approx(50.0, abs=0.02) and box[3] - box[1] < 2]
    assert len(bars) == 1
    outline = job.blade.outline
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    blades = [box for box in boxes if (box[2] - box[0], box[3] - box[1]) == near]
    assert len(blades) == 2  # both faces


def test_the_grind_line_and_the_plunge_have_their_figures(job, shop):
    text, (start, full) = words(shop), job.ground.plunge
    assert text.count(f"plunge begins {start:.1f}") == text.count(f"in full from {full:.1f}") == 2
    line = float(job.ground.bevel("right", np.array([start])).height[0])
    assert text.count(f"\n{line:.1f}\r") == 2  # once on either face


@pytest.mark.parametrize(("tang", "held"), [(80.0, 80.0), (160.0, 297 - 2 * 12 - 130)])
def test_the_tang_is_on_the_template(job, tang, held):
    """At true size behind the heel of both faces; where the paper ends before it does, what is missing is told."""
    outline = job.blade.outline.model_copy(update={"tang": tang, "tang_height": 14.0})
    long = job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})
    pdf = sheet_pdf(long, "shop")
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    pages = (paths(pdf, number) for number in (2, 3))  # the later one where the order of work has a page of its own
    boxes, faces = next(
        (boxes, faces)
        for boxes in pages
        if len(faces := [box for box in boxes if (box[2] - box[0], box[3] - box[1]) == near]) == 2
    )
    right, left = sorted(faces, key=lambda box: -box[1])
    behind = [box for box in boxes if box[2] - box[0] == pytest.approx(held, abs=0.02)]
    assert any(box[2] == pytest.approx(right[0], abs=0.02) for box in behind)
    assert any(box[0] == pytest.approx(left[2], abs=0.02) for box in behind)
    assert min(box[0] for box in behind) > 11.9
    assert ("beyond the paper" in words(pdf)) == (held < tang)


def test_the_grind_line_stands_where_it_is_ground(job, shop):
    """On the template the line's lowest point lies its height over the edge's baseline, by the page's own lines."""
    outline = job.blade.outline
    boxes = paths(shop, 2)
    near = pytest.approx((outline.length, outline.height), abs=0.02)
    blade = max((box for box in boxes if (box[2] - box[0], box[3] - box[1]) == near), key=lambda box: box[3])
    place = np.array([job.grind.heel_flat + 10])
    height = float(job.ground.bevel("right", place).height[0])
    start = pytest.approx(blade[0] + job.grind.heel_flat, abs=0.3)
    lines = [box for box in boxes if box[0] == start and box[2] - box[0] > 60 and box[1] > blade[1] + 5]
    assert any(box[1] - blade[1] == pytest.approx(height, abs=0.1) for box in lines)


@pytest.mark.parametrize(("sheet", "apart", "longer"), [("shop", 10.0, 5), ("inch_shop", 12.7, 2)])
def test_marks_stand_every_centimetre_or_half_inch(job, sheet, apart, longer, request):
    """On each face's template, from the heel; those of 50 mm or of whole inches are the longer ones."""
    pdf, near = request.getfixturevalue(sheet), pytest.approx(job.blade.outline.length, abs=0.02)
    pages = (paths(pdf, number) for number in (2, 3))  # the later one where the order of work has a page of its own
    boxes = next(boxes for boxes in pages if any(box[2] - box[0] == near for box in boxes))
    ticks = [box for box in boxes if box[2] - box[0] < 0.01]
    marks = [(box[0], box[3] - box[1]) for box in ticks if box[3] - box[1] < 5]
    each = int(job.blade.outline.length / apart) + 1
    assert len(marks) == 2 * each
    for face, way in ((marks[:each], 1), (marks[each:], -1)):
        places, lengths = np.transpose(face)
        np.testing.assert_allclose(places, places[0] + way * apart * np.arange(each), atol=0.02)
        np.testing.assert_allclose(lengths, np.where(np.arange(each) % longer, 1.5, 3.0), atol=0.02)
