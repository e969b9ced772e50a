"""Whether the bar has steel for the tang, by sums: a can of 120 x 50 x 30 mm, squeezed to a bar as long."""

from __future__ import annotations

import numpy as np
import pytest

from preview.base.units import Units
from preview.blade.blade import Blade, Placement
from preview.blade.outlines import NamedOutline
from preview.face.tang import tang_notes
from preview.forging.bar import Can
from preview.forging.history import History
from preview.forging.steps import Consolidate, Taper
from preview.pipeline import preview


class Deep(NamedOutline):
    """A blade whose tang, 30 mm long, reaches 20 mm below the edge's baseline."""

    tang: float = 30.0

    @property
    def tang_polygon(self):
        return np.array([(0.0, 10.0), (-30.0, 10.0), (-30.0, -20.0), (0.0, -20.0)])


def bar(wall: float = 0.0, *more) -> History:
    return History(Can(length=120, width=50, height=30, wall=wall).bar(), (Consolidate(), *more))


def blade(tang: float, heel: float | None = None, **more) -> Blade:
    outline = NamedOutline(length=80, height=40, tang=tang)
    return Blade(outline=outline, thickness=5, placement=Placement(heel=heel), **more)


def told(of: Blade, history: History) -> list[str]:
    return [str(note) for note in tang_notes(of, history, (120.0, 50.0, 30.0))]


def test_blade_and_tang_lie_in_the_middle_together():
    """80 and 30 in 120: 5 at each end, so that the heel lies 35 from the bar's end, 25 from its middle."""
    assert blade(30).corner(bar().bar)[0] == pytest.approx(-25)
    assert blade(0).corner(bar().bar)[0] == pytest.approx(-40)
    assert blade(30, heel=50).corner(bar().bar)[0] == pytest.approx(-10)
    for tang in (0, 5e-324, 30, 40):  # the second one: next to nothing, as a hostile file has it
        assert told(blade(tang), bar()) == []


def test_a_tang_longer_than_the_bar_has_room_for_is_told():
    """80 and 60 are 20 more than 120; the blade stays in the bar, its tip at the end."""
    assert blade(60).corner(bar().bar)[0] == pytest.approx(-20)
    (note,) = told(blade(60), bar())
    assert note == (
        "The tang reaches 20.0 mm beyond the bar's end: the bar is 120.0 mm, the blade with its tang 140.0 mm."
    )
    (note,) = tang_notes(blade(60), bar(), (120.0, 50.0, 30.0))
    assert "reaches 0.787 in beyond" in note.told(Units(sizes="inch"))


def test_a_blade_too_near_the_bars_end_for_its_tang_is_told():
    (note,) = told(blade(30, heel=20), bar())
    assert note.startswith("The tang reaches 10.0 mm beyond the bar's end: the heel has to lie at least 30.0 mm from")
    assert told(blade(30, heel=30), bar()) == []


def test_a_tang_in_the_cans_wall_is_told():
    """A wall of 3 makes the bar 126 long: blade and tang fill it, and the last 3 of the tang's 46 are wall."""
    (note,) = told(blade(46), bar(3.0))
    assert note.startswith("The tang still shows the can's shell from 43 to 46 mm behind the heel")
    assert told(blade(40), bar(3.0)) == []


def test_a_tang_beside_the_bar_is_told():
    """The blade, 40 high, lies in the middle of a bar 50 wide: 5 are left below its edge, and the tang needs 20."""
    (note,) = told(Blade(outline=Deep(length=80, height=40), thickness=5), bar())
    assert note.startswith("The bar does not fill the tang from 0 to 30 mm behind the heel")


def test_a_tang_is_as_thick_as_a_tapered_bar_lets_it_be():
    """A bar forged thin towards the tip is thickest behind the heel: there is metal all through."""
    assert told(blade(30), bar(0.0, Taper(tip_thickness=9.0, tip_width=45.0))) == []


def test_a_preview_tells_it_too(make):
    job = make(
        can={"length": 120, "width": 50, "height": 30, "wall": 0}, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "spear", "length": 80, "height": 40, "tang": 60}},
    )  # fmt: skip
    assert any("tang reaches 20.0 mm beyond" in str(note) for note in preview(job, px_per_mm=1).numbers.notes)
