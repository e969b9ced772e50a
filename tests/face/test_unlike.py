"""How unlike two faces look: a boundary moved by a known way, and words about it."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import METRIC
from preview.face.unlike import unlike
from preview.pipeline import face_maps
from preview.sheets.unlike_words import differences, unlike_words

MOVED = 2.0
"""How far along the bar the second blade is cut, mm."""


@pytest.fixture
def blades(make):
    """A blade whose front half is bright, and the same cut so much nearer to the bar's end."""
    first = make(
        np.broadcast_to(np.arange(200) >= 100, (80, 200)), forging=[{"step": "consolidate"}],
        can={"length": 140, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 4.0, "outline": {"shape": "drop point", "length": 100, "height": 30}},
        grind={"right": {"height": 20}, "edge": 0.3},
    )  # fmt: skip
    placement = first.blade.placement.model_copy(update={"off": (MOVED, 0.0)})
    return first, first.model_copy(update={"blade": first.blade.model_copy(update={"placement": placement})})


def test_a_boundary_that_moves_makes_a_strip_as_wide_unlike(blades):
    faces = tuple(face_maps(each, 4.0)[0] for each in blades)
    first, other = blades
    found = unlike(faces, (first.ground, other.ground), (first.bright_powders, other.bright_powders))
    outline = first.blade.outline
    along = np.linspace(0, 100, 2001)
    area = np.trapezoid(outline.spine(along) - outline.edge(along), along)
    assert found.share == pytest.approx(MOVED * 30 / area, rel=0.05)  # at mid-length the blade is all its height
    start, end = found.along
    assert end - start == pytest.approx(0.95 * MOVED, abs=0.3)
    assert found.off_line == pytest.approx(19, abs=1)  # from the edge up to the spine, the line at 20 of 30 mm
    same = unlike((faces[0], faces[0]), (first.ground, first.ground), (first.bright_powders, first.bright_powders))
    assert same.share == 0


def test_a_client_is_told_what_differs_and_where(blades):
    first, other = blades
    assert differences(other, first, METRIC) == ["cut from another place in the bar"]
    found = unlike_words(other, first, METRIC)
    assert found.startswith("Against A: cut from another place in the bar. Laid heel on heel, some 2 % of the face")
    assert "nearly all of it" in found
    lower = first.grind.right.model_copy(update={"height": 12.0})
    low = first.model_copy(update={"grind": first.grind.model_copy(update={"right": lower})})
    told = unlike_words(low, first, METRIC)
    assert told.startswith("The pattern lies nearly the same as on A")  # upright columns, nothing moves
    assert "the grind ends 8.0 mm lower, so that the blade stays thick further down; its faces" in told
    assert unlike_words(first, first, METRIC) == "The same blade as A."
    dim = first.model_copy(update={"light": first.light.model_copy(update={"finish": "polished"})})
    assert differences(dim, first, METRIC) == ["polished, not satin"]
    assert unlike_words(dim, first, METRIC) == (
        "The pattern lies the same as on A; the finish is different: polished, not satin."
    )


@pytest.mark.parametrize(
    ("update", "told"),
    [
        ({"outline": {"length": 90.0}}, "10 mm shorter"),
        ({"outline": {"height": 24.5}}, "5.5 mm lower at the heel"),
        ({"thickness": 3.0}, "1.0 mm thinner"),
    ],
)
def test_sizes_are_told_as_a_ruler_tells_them(blades, update, told):
    first, _ = blades
    outline = first.blade.outline.model_copy(update=update.get("outline", {}))
    blade = first.blade.model_copy(update={**update, "outline": outline})
    assert differences(first.model_copy(update={"blade": blade}), first, METRIC)[0] == told
