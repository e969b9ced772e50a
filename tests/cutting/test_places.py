"""Chances by hand and against full draws; places that are better, and what is asked for that cannot be."""

from __future__ import annotations

from dataclasses import replace
from math import erf, sqrt

import numpy as np
import pytest
import shapely

from preview.base.errors import RequestError
from preview.blade.blade import Placement
from preview.blade.outlines import NamedOutline
from preview.cutting.chances import Draws
from preview.cutting.cut import Cut, Keep
from preview.cutting.parts import find_parts
from preview.cutting.picture import places_picture
from preview.cutting.places import find_places
from preview.cutting.room import Room
from preview.cutting.search import Search, at_middle, effort
from preview.cutting.table import named, needed_bar, place_rows
from preview.cutting.words import place_head, place_text, place_verdict
from preview.job.calibration import Calibration
from preview.job.file import load_job
from preview.job.seen import Seen
from preview.log.bars import forecast_bar
from tests.conftest import DEMOS
from tests.support.full_draws import room_of, whole_in_full_draws

SURE = {
    "fill": 0, "settling": 0, "scale": 0, "flow": 0, "hammer": 0, "bevel": 0, "angle": 0, "edge_offset": 0,
    "thickness": 0, "heel": 0, "edge": 0, "mid_plane": 0,
}  # fmt: skip


def normal(at: float) -> float:
    """Return the standard normal integral up to a place (any table of it)."""
    return 0.5 * (1 + erf(at / sqrt(2)))


def patches(*boxes: tuple[int, int, int, int]) -> np.ndarray:
    """Return a picture of 10 cells a millimetre, 120 by 40 mm, bright in boxes (left, low, right, high), mm."""
    picture = np.zeros((400, 1200), dtype=bool)
    for left, low, right, high in boxes:
        picture[400 - 10 * high : 400 - 10 * low, 10 * left : 10 * right] = True
    return picture


@pytest.fixture
def plain(make):
    """Return a maker of jobs of a bar that is only welded: what lies in the can shows as it is on the blade's flat.

    The blade, 80 by 24 mm and square at its end but for its tip, lies in the middle of 120 by 40 mm.
    """

    def made(*boxes, **unsure):
        job = make(
            patches(*boxes),
            can={"length": 120, "width": 40, "height": 12, "wall": 0, "fill_density": 0.6},
            forging=[{"step": "consolidate"}],
            blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 80, "height": 24, "tang": 0}},
            grind={"right": {"height": 4}},
            unsure={**SURE, **unsure},
        )
        known = {"spread_factor_error": 0.0, "friction_error": 0.0}
        return job.model_copy(update={"forge": Calibration(**known)})

    return made


def at_off(along, across):
    return Placement(off=(along, across))


def chances(job, cut, draws=2000):
    parts = find_parts(job, cut).wanted
    room = Room.of(job.blade.outline, cut.margin)
    return Draws.of(job, draws).come_out(job, cut.face, parts).whole(room).mean(axis=0)


def test_one_thing_unsure_is_the_normal_integral(plain):
    """The blade reaches from 8 to 32 mm across the can, with a margin of 1 mm room is up to 31.

    A square that ends at 30 has 1 mm left; with the place across unsure by 0.8 mm it stays in it with the chance of a
    normal deviate under 1.25; with a margin of 1.6 mm 0.4 mm are left, and the deviate has to be under 0.5.
    """
    job = plain((50, 20, 60, 30), edge=0.8)
    assert chances(job, Cut())[0] == pytest.approx(normal(1 / 0.8), abs=0.03)
    job = plain((45, 15, 65, 30), edge=0.8)
    assert chances(job, Cut(margin=1.6))[0] == pytest.approx(normal(0.4 / 0.8), abs=0.03)


def test_the_search_finds_the_room_by_hand(plain):
    """Two squares that end 31 mm across the can; room up to 30.2 where the blade lies, with 7 mm of bar beyond it."""
    job = plain((45, 22, 55, 31), (65, 22, 75, 31), edge=0.3, heel=0.3)
    job = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": at_off(0.0, -0.8)})})
    found = find_places(job, Cut())
    assert found.now.all_whole < 0.05
    assert found.best[0].all_whole > 0.99
    assert found.best[0].off[0] == pytest.approx(0, abs=0.5)
    assert found.best[0].off[1] > -0.1
    assert not found.stays
    again = find_places(job, Cut())
    assert [each.job for each in again.best] == [each.job for each in found.best]
    assert [each.chances for each in again.best] == [each.chances for each in found.best]


def test_turned_round_where_only_that_helps(plain):
    """A patch beyond the blade's tip, with the limits too narrow to get there: the bar turned has it at the heel."""
    job = plain((92, 14, 108, 30), edge=0.2, heel=0.2)
    as_it_is = find_places(job, Cut(along=(0, 0), across=(0, 0)))
    assert as_it_is.best[0].all_whole < 0.01
    assert as_it_is.stays
    limits = {"along": (-14, 0), "across": (-3, 3)}
    turned = find_places(job, Cut(turned=True, mirrored=True, **limits))
    assert turned.best[0].all_whole > 0.99
    assert turned.best[0].job.blade.placement.signs[0] == -1


def test_the_room_is_that_of_shapely():
    outline = NamedOutline(shape="clip point", length=150, height=32, choil=3, ricasso=15)
    room, inside = Room.of(outline, 1.5), room_of(outline, 1.5)
    along, across = np.random.default_rng(4).uniform([-5, -5], [155, 37], (20_000, 2)).astype(np.float32).T
    held, truly = room.holds(along, across), shapely.contains_xy(inside, along, across)
    near = shapely.distance(inside.exterior, shapely.points(along, across)) < 0.15
    beside_choil = along < 25
    assert not (held & ~truly & ~near).any()
    assert (held == truly)[~near & ~beside_choil].all()


def test_a_blade_that_leaves_the_bar_is_not_whole(plain):
    """The patch is sure; the blade lies 0.5 mm from the bar's side with its place across unsure by 0.5 mm: one deviate.

    Towards the tip it lies 1 mm from the end, unsure by 2 mm: half a deviate.
    """
    job = plain((55, 20, 60, 24), edge=0.5)
    near = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": at_off(0.0, 7.5)})})
    assert chances(near, Cut())[0] == pytest.approx(normal(1), abs=0.03)
    job = plain((55, 20, 60, 24), heel=2.0)
    near = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": at_off(19.0, 0.0)})})
    assert chances(near, Cut())[0] == pytest.approx(normal(0.5), abs=0.03)


def test_the_bars_sizes_are_as_unsure_as_they_are_forecast():
    """Chances of a bar's sizes against the forecast that the log judges itself by, which is to first order."""
    job = load_job(DEMOS / "running_wave.toml")
    drawn = Draws.of(job, 2000).bars(2000)
    forecast = forecast_bar(job, len(job.forging))
    np.testing.assert_allclose(drawn.mean(axis=0), forecast.sizes[:2], rtol=0.01)
    np.testing.assert_allclose(drawn.std(axis=0), forecast.errors[:2], rtol=0.1)


def test_words_mark_from_the_middle_lines(plain):
    job = plain((50, 20, 60, 30), edge=0.2)
    found = find_places(job, Cut())
    text = place_text(found, job)
    rows = {name: fares for name, *fares in place_rows(found)}
    assert rows["heel, from the bar's middle"] == ["40.0 mm to the heel end"]
    assert rows["edge line, from the bar's middle"] == ["12.0 mm below"]
    assert rows["heel, from the bar's end, as reckoned"] == ["20.0 mm"]
    assert rows["the bar holds the whole blade"] == ["over 99"]
    assert "Moving the drawing" in text
    photographed = job.model_copy(update={"found": Seen.model_construct()})
    text = place_text(replace(found, now=replace(found.now, job=photographed)), photographed)
    assert "the drawing" not in text
    assert "from the bar's end, as reckoned" in text
    assert "Of 100 bars like yours" in text
    assert "yours is smaller" not in text
    assert found.other_face is None  # what is welded alone shows the same on both
    better = replace(found, other_face=found.best[0])
    assert "On the left face it would be" in place_verdict(better)
    assert "On the left face" not in place_verdict(found)


def test_the_bar_that_holds_a_blade_and_the_chance_agree(plain):
    """A bar with two deviates of marking to spare on each side, and the saw's 1 mm, holds it in 19 draws of 20."""
    job = plain((50, 20, 60, 24), edge=0.5, heel=1.0)
    for off in ((0.0, 0.0), (3.0, -1.0)):
        laid = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": at_off(*off)})})
        place = find_places(laid, Cut(along=(off[0],) * 2, across=(off[1],) * 2)).now
        assert needed_bar(place) == pytest.approx((80 + 2 * (abs(off[0]) + 3), 24 + 2 * (abs(off[1]) + 2)))
        bar = needed_bar(place)
        there = find_places(laid, Cut(bar=bar, along=(off[0],) * 2, across=(off[1],) * 2))
        assert there.now.in_steel > 0.95
        assert "yours is smaller" not in str(place_rows(there))
        assert "yours is smaller" in str(place_rows(replace(there, cut=Cut(bar=(bar[0], bar[1] - 0.1)))))


def test_what_makes_it_surer_goes_by_what_is_known_of_the_bar(plain):
    """Half a millimetre to spare on each side with marking unsure by as much: one deviate."""
    job = plain((50, 20, 60, 24), edge=0.5)
    length, tall = job.history.bar.length, job.blade.outline.height
    tight = find_places(job, Cut(bar=(length, tall + 1), across=(0, 0)))
    assert tight.best[0].in_steel == pytest.approx(2 * normal(1) - 1, abs=0.03)
    assert "owed to marking, not to the bar" in place_verdict(tight)
    assert "as measured is too small" in place_verdict(replace(tight, cut=Cut(bar=(length, tall - 1))))
    assert "a larger bar" in place_verdict(replace(tight, cut=Cut()))
    photographed = replace(tight.now, job=job.model_copy(update={"found": Seen.model_construct()}))
    words = place_verdict(replace(tight, cut=Cut(), now=photographed, best=(photographed,)))
    assert "measure it and give its size" in words
    assert "a larger bar" not in words
    assert "forging" not in words


def test_a_blade_is_worth_as_much_as_its_motif(plain):
    """The rule by hand: a place is better where it gives a motif more often than it costs a blade."""
    here = replace(find_places(plain((50, 20, 60, 24), edge=0.5), Cut()).now, chances=(0.0,), all_whole=0.0, weighted=0)

    def there(steel, whole):
        return replace(here, in_steel=steel, chances=(whole,), all_whole=whole, weighted=whole)

    now = there(0.69, 0.0)
    assert not there(0.32, 0.02).beats(now)
    assert not there(0.60, 0.09).beats(now)
    assert there(0.60, 0.11).beats(now)
    assert there(0.69, 0.02).beats(now)
    assert not there(0.685, 0.01).beats(now)
    assert there(0.90, 0.0).beats(now)


def test_what_the_best_place_costs_is_told(plain):
    found = find_places(plain((50, 20, 60, 24), edge=0.5), Cut())
    here = replace(found.best[0], chances=(0.3,), all_whole=0.3, weighted=0.3, in_steel=0.6)
    best = replace(here, chances=(0.48,), all_whole=0.48, weighted=0.48, in_steel=0.56)
    words = place_verdict(replace(found, now=here, best=(best,)))
    assert "the motif comes out whole there in 48, now in 30; the bar holds the whole blade in 56, now in 60" in words
    assert "That is its price" in words
    assert "price" not in place_verdict(replace(found, now=here, best=(replace(best, in_steel=0.6),)))
    words = place_verdict(replace(found, now=here, best=(here,)))
    assert words.startswith("Leave the blade where it lies: no other place is better.")
    assert "holds the whole blade in 60, and the motif comes out whole in 30" in words


def test_a_blade_is_not_moved_out_of_the_steel_for_its_motif(plain):
    """A patch 2 mm beyond the blade's tip. In a bar that ends 1 mm beyond it, marked to 1 mm, the blade has room as it
    lies; where the patch is whole it has none. In the long bar there is room for both.
    """
    job = plain((96, 18, 103, 26), heel=1.0, edge=0.1)
    long = find_places(job, Cut(along=(0, 15)))
    assert not long.stays
    assert long.best[0].all_whole > 0.9
    short = find_places(job, Cut(along=(0, 15), bar=(84, 40)))
    assert short.now.in_steel == pytest.approx(2 * normal(2) - 1, abs=0.02)
    assert short.stays


def test_limits_that_leave_out_where_the_blade_lies_hold(plain):
    """All of the bar is alike to a patch in the blade's middle, and 6 mm towards the heel is as good as any place."""
    found = find_places(plain((50, 20, 60, 24), edge=0.1), Cut(along=(-6, -4)))
    assert not found.stays
    assert all(-6.001 <= place.off[0] <= -3.999 for place in found.best)
    assert place_verdict(found).startswith("Place 1 is the best within your limits, though no better than where")


def test_boxes_are_not_called_parts(plain):
    job = plain((50, 20, 60, 24), edge=0.1)
    found = find_places(job, Cut(keep=(Keep(box=(35, 12, 4, 4)), Keep(number=1))))
    assert sorted(named([part]) for part in found.parts.wanted) == ["box 1", "part 1"]
    assert named(found.parts.wanted) == "part 1, box 1"


def test_a_place_beside_the_first_is_likely_in_the_steel(plain):
    """The blade lies half out of the bar: whatever holds it better is put forward, but nothing that hardly holds it."""
    job = plain((50, 20, 60, 24), edge=0.3)
    job = job.model_copy(update={"blade": job.blade.model_copy(update={"placement": at_off(0.0, 3.0)})})
    found = find_places(job, Cut(bar=(job.history.bar.length, job.blade.outline.height + 1)))
    assert found.now.in_steel < 0.01
    assert len(found.best) > 1
    assert min(each.in_steel for each in found.best) >= 0.1


@pytest.mark.slow
def test_a_photograph_leaves_the_bar_s_size_as_unsure_as_it_was(plain):
    """Until it is measured: then the blade lies in the steel in all draws or in none."""
    job = load_job(DEMOS / "plain_start.toml")
    seen = job.model_copy(update={"found": Seen.model_construct(left=(), of="bar")})
    unsure, photographed = (Draws.of(each, 200).bars() for each in (job, seen))
    np.testing.assert_allclose(photographed, unsure)
    assert photographed.std(axis=0).min() > 0.1
    job = plain((50, 20, 60, 30), edge=0.2)
    bar = job.history.bar
    for width, chance in ((bar.width, 1.0), (job.blade.outline.height - 1, 0.0)):
        found = find_places(job, Cut(bar=(bar.length, width)))
        assert found.now.in_steel == chance


def test_the_picture_shows_each_place_and_greys_what_is_left_out_there(plain):
    """A patch by the heel and one by the tip, 64 mm apart with room for 78: one place holds both, others the first."""
    found = find_places(plain((22, 12, 32, 22), (86, 12, 96, 22)), Cut(margin=0.5))
    first, second = (replace(found.best[0], chances=chances, in_steel=0.9) for chances in ((0.9, 0.8), (0.8, 0.3)))
    found = replace(found, best=(first, second))
    assert place_head(found, 0).startswith("place 1: no part is likely cut into; all whole in")
    assert place_head(found, 1).startswith("place 2: part 2 is most likely cut into, and grey; all whole in")
    picture = places_picture(found).astype(float)
    view, strip = found.parts.face.view, 2 * max(12, picture.shape[1] // 90)
    high = (len(picture) - strip) // 2
    rows, columns = view.inside
    panels = [picture[top + strip :][rows, columns][found.parts.wanted[1].shown] for top in (0, high)]
    assert np.median(panels[0]) > np.median(panels[1]) + 20
    assert np.median(panels[1]) == pytest.approx(110, abs=25)


def test_a_bar_of_tiles_is_taken_to_have_as_many_as_reckoned():
    """Where a can filled otherwise gives another number of tiles, the bar is not taken to jump by one."""
    job = load_job(DEMOS / "end_grain.toml")
    drawn = Draws.of(job, 400)
    assert not drawn.forged
    assert np.ptp(drawn.bars()[:, 0]) < 12 + 6 * 4.5  # a tile is 30 mm long; scale, the most unsure, takes 4.5


def test_sliding_the_outline_is_laying_the_blade_elsewhere(plain):
    job = plain((50, 20, 60, 30), edge=0.8, heel=0.8)
    parts, room = find_parts(job, Cut()).wanted, Room.of(job.blade.outline, 1.0)
    draws = Draws.of(job, 400)
    low, high = draws.come_out(job, "right", parts).slides(room, 0.75)
    blade = job.blade.model_copy(update={"placement": at_off(-17.0, 0.75)})
    there = draws.come_out(job.model_copy(update={"blade": blade}), "right", parts).whole(room)
    np.testing.assert_array_equal((low <= -17) & (high >= -17), there)


def test_the_drawing_is_made_smaller_where_no_place_helps(plain):
    """A patch 21 mm high with room for 22, unsure by 0.5 mm, is whole at two of three; at 90 % of its size, always."""
    job = plain((50, 9, 60, 30), edge=0.5, heel=0.2)
    found = find_places(job, Cut())
    assert found.best[0].all_whole == pytest.approx(2 * normal(0.5 / 0.5) - 1, abs=0.05)
    assert found.drawing is not None
    assert found.drawing.scale < 1
    assert found.drawing.place.all_whole > 0.95
    drawn = find_places(found.drawing.place.job, Cut())
    assert drawn.now.all_whole == pytest.approx(found.drawing.place.all_whole, abs=0.03)


def test_nothing_is_changed_that_need_not_be(plain):
    job = plain((50, 18, 60, 26), edge=0.3, heel=0.3)
    found = find_places(job, Cut(heights=(3, 6), turned=True))
    assert found.stays
    assert found.best == (found.now,)


@pytest.mark.parametrize(
    ("wanted", "problem"),
    [
        ({"margin": 12}, "leaves no room"),
        ({"keep": (Keep(number=3),)}, "shows 1 that can come out whole; given 3"),
        ({"keep": (Keep(box=(300, 5, 10, 10)),)}, "lies off the blade"),
        ({"along": (60, 70)}, "the bar lets the blade lie -20.0 to 20.0 mm off its middle"),
        ({"heights": (60, 70)}, "nothing within the limits can be ground"),
    ],
)
def test_what_cannot_be_is_refused(plain, wanted, problem):
    with pytest.raises(RequestError, match=problem):
        find_places(plain((50, 20, 60, 30)), Cut(**wanted))


def test_parts_that_cannot_come_out_whole_are_told(plain):
    parts = find_parts(plain((50, 20, 60, 30), (0, 10, 5, 20), (30, 1, 40, 39)), Cut())
    assert [part.name for part in parts.wanted] == ["1"]
    assert [str(each) for each in parts.left_out] == [
        "1 of the bright parts left out: larger than the blade.",
        "1 of the bright parts left out: cut by the bar's sides or ends.",
    ]
    (part,) = parts.wanted
    assert (part.length, part.height) == pytest.approx((10, 10), abs=0.4)
    with pytest.raises(RequestError, match="shows none that can come out whole"):
        find_parts(plain((30, 1, 40, 39)), Cut())


def test_parts_are_numbered_from_heel_to_tip_and_nested_ones_are_one_motif(plain):
    """A ring of four bars with a dot in it by the heel, and a larger square by the tip; LEAST_PART is 4 mm2."""
    ring = ((30, 12, 44, 14), (30, 26, 44, 28), (30, 14, 32, 26), (42, 14, 44, 26))
    parts = find_parts(plain((70, 12, 86, 28), *ring, (35, 18, 39, 22)), Cut()).wanted
    assert [part.name for part in parts] == ["1", "2"]
    first, second = parts
    assert first.in_bar[0].max() < second.in_bar[0].min()
    assert first.area == pytest.approx(14 * 16 - 10 * 12 + 16, abs=4)
    assert (first.length, first.height) == pytest.approx((14, 16), abs=0.4)


def test_a_frame_larger_than_the_blade_does_not_take_what_lies_in_it_along(plain):
    frame = ((20, 2, 100, 4), (20, 36, 100, 38), (20, 4, 22, 36), (98, 4, 100, 36))
    parts = find_parts(plain((50, 14, 60, 24), *frame), Cut())
    assert [part.length for part in parts.wanted] == pytest.approx([10], abs=0.4)
    assert [str(each) for each in parts.left_out] == ["1 of the bright parts left out: larger than the blade."]


def test_an_effort_has_to_be_worth_it():
    assert effort((0.0, 0.0), 0.0) == 0
    assert effort((10.0, -2.0), 0.3) == pytest.approx(0.001 + 0.002 + 0.006)


@pytest.mark.slow
def test_the_best_place_beats_the_middle():
    job = load_job(DEMOS / "marsh_moon.toml")
    found = find_places(job, Cut())
    assert found.best[0].all_whole > found.now.all_whole
    assert found.drawing is not None
    assert found.drawing.place.all_whole > found.best[0].all_whole + 0.15
    for place in found.best:
        assert place.all_whole <= place.in_steel
        laid = at_middle(place.job).blade
        assert laid.outline == job.blade.outline
    assert [each.score for each in found.best] == sorted((each.score for each in found.best), reverse=True)


@pytest.mark.slow
def test_stated_chances_against_full_draws(monkeypatch):
    """All that is unsure changed at once and for real, the face pulled back by the direct map, the pattern's own parts.

    300 draws are good to 3 points (one standard deviation, at a half).
    """
    job = load_job(DEMOS / "running_wave.toml")
    parts = find_parts(job, Cut()).wanted
    search = Search(job, Cut(), parts, Room.of(job.blade.outline, 1.0), Draws.of(job, 2000))
    blade = job.blade.model_copy(update={"placement": at_off(10.0, -0.5)})
    place = search.place(job.model_copy(update={"blade": blade}))
    monkeypatch.setattr("preview.forging.press_flow.STRAIN_STEP", 0.06)  # moves no point by a tenth of a millimetre
    monkeypatch.setattr("preview.forging.press_flow.SWEEPS_END", 1e9)
    counted = whole_in_full_draws(place.job, parts, 1.0, np.random.default_rng(5), 300)
    np.testing.assert_allclose(place.chances, counted.mean(axis=0), atol=0.05)
    assert place.all_whole == pytest.approx(counted.all(axis=1).mean(), abs=0.05)
