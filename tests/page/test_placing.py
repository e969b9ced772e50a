"""Where a drawing stands: between shares of a picture and millimetres, for both faces and the can."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from shapely import affinity
from shapely.geometry import box

from preview.blade.outlines import NamedOutline
from preview.face.view import RIM, View
from preview.filling.wanted import Placed, Wanted
from preview.look.spots import CanView
from preview.page.laying import OnBoth
from preview.page.placing import Place, kept_inside, place_at, shares_of, why_not
from preview.page.sketching import laid_words
from preview.pattern.powders import Powder

OUTLINE = NamedOutline(length=200, height=46)
VIEWS = {side: View(side, OUTLINE, 4.0) for side in ("right", "left")}
FRAMES = {
    **VIEWS,
    "right above left": OnBoth(VIEWS["right"], below=False),
    "left below right": OnBoth(VIEWS["left"], below=True),
    "with a handle": View("left", OUTLINE.model_copy(update={"tang": 90.0}), 4.0),
    "can": CanView((80.0, 34.0)),
}
every_frame = pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)


@every_frame
@pytest.mark.parametrize("turn", [0.0, 30.0, -135.5, 180.0 - 0.1])
def test_to_the_screen_and_back(frame, turn):
    place = Place((31.3, 12.9), 24.6, turn)
    back = place_at(frame, *shares_of(frame, place))
    assert back.at == pytest.approx(place.at, abs=1e-9)
    assert back.width == pytest.approx(place.width, abs=1e-9)
    assert back.turn == pytest.approx(turn, abs=1e-9)


def test_the_left_face_has_the_tip_on_the_left():
    nearer_heel, nearer_tip = Place((20.0, 23.0), 10.0, 0.0), Place((180.0, 23.0), 10.0, 0.0)
    assert shares_of(VIEWS["right"], nearer_heel)[0] == pytest.approx((20 + RIM) / (200 + 2 * RIM))
    assert shares_of(VIEWS["left"], nearer_tip)[0] == pytest.approx((20 + RIM) / (200 + 2 * RIM))


def test_both_faces_are_one_picture():
    place = Place((50.0, 40.0), 10.0, 0.0)
    above, below = FRAMES["right above left"], FRAMES["left below right"]
    assert above.size == below.size == (200 + 2 * RIM, 2 * (46 + 2 * RIM))
    assert shares_of(above, place)[1] < 0.5 < shares_of(below, place)[1] < 1
    assert shares_of(below, place)[1] - shares_of(above, place)[1] == pytest.approx(0.5)
    assert (above.span, below.span) == ((0.0, 0.5), (0.5, 1.0))


@every_frame
def test_a_turn_is_told_within_half_a_turn_each_way(frame):
    assert place_at(frame, 0.5, 0.5, 0.1, 350.0).turn == -10
    assert place_at(frame, 0.5, 0.5, 0.1, -200.0).turn == 160


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("turn", [0.0, 25.0, -140.0])
def test_the_screen_shows_a_wanted_picture_where_the_layout_lays_it(tmp_path, side, turn):
    """Corners as a style sheet turns them (CSS Transforms 1, rotate(): clockwise on a screen whose y runs down)."""
    Image.fromarray(np.zeros((20, 40), np.uint8)).save(tmp_path / "plain.png")
    place, view = Place((120.0, 20.0), 30.0, turn), VIEWS[side]
    wanted = Wanted(picture=tmp_path / "plain.png", face=side, at=place.at, size=place.width, turn=turn)
    powders = (
        Powder(name="plain", nickel=0.0, colours=("black",)),
        Powder(name="nickel", nickel=2.0, colours=("white",)),
    )
    laid = Placed(wanted, OUTLINE, powders, "plain")
    right, down, width, shown_turn = shares_of(view, place)
    wide, high = view.size
    for across, over in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        half = width * wide / 2
        css = np.radians(-shown_turn)
        dx, dy = across * half, over * half / 2
        x = right * wide + dx * np.cos(css) - dy * np.sin(css)
        y = down * high + dx * np.sin(css) + dy * np.cos(css)
        seen = view.from_picture(x / wide, y / high)
        told = laid.on_face(np.array(across * 15.0), np.array(-over * 7.5))
        assert seen == pytest.approx(tuple(map(float, told)), abs=1e-9)


@pytest.mark.parametrize("turn", [0.0, 20.0, 90.0, -130.0])
@pytest.mark.parametrize("at", [(0.0, 0.0), (60.0, -40.0), (-7.0, 3.0)])
@pytest.mark.parametrize("width", [10.0, 200.0])
def test_a_drawing_is_kept_inside_the_can(turn, at, width):
    """By Shapely: the turned rectangle lies in the can's; one that did so already stays where it is."""
    room, wide = (80.0, 34.0), 1.6
    can = box(-40, -17, 40, 17)

    def drawn(place):
        upright = box(-place.width / 2, -place.width / wide / 2, place.width / 2, place.width / wide / 2)
        return affinity.translate(affinity.rotate(upright, place.turn, origin=(0, 0)), *place.at)

    asked = Place(at, width, turn)
    place = kept_inside(asked, wide, room)
    assert can.buffer(1e-6).contains(drawn(place))
    if can.contains(drawn(asked)):
        assert place == asked
    elif width == 200:
        assert not can.contains(drawn(Place((0.0, 0.0), place.width + 0.2, turn)))


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Place((3.0, 0.0), 80.0, 0.0), ["It fills the can's width: no room to move."]),
        (Place((0.0, 0.0), 200.0, 0.0), ["It is 80 mm wide, the largest there is room for; 200 mm was asked."]),
        (Place((50.0, 0.0), 20.0, 0.0), ["Beside: 30 mm is as far as the can's wall lets it; 50 mm was asked."]),
        (Place((5.0, -3.0), 20.0, 0.0), []),
    ],
)
def test_a_number_that_cannot_be_had_is_answered(asked, words):
    """By hand: in a can of 80 x 40 mm, a drawing half as high as it is wide."""
    assert list(why_not(asked, kept_inside(asked, 2.0, (80.0, 40.0)), ("Beside", "Above"))) == words


@pytest.mark.parametrize(
    ("asked", "laid", "words"),
    [
        ((60.0, 43.08), (60.0, 43.0), "Laid in the can, 60 mm wide."),
        ((70.0, 49.92), (36.4, 26.0), "Laid in the can, 36.4 mm wide: as large as this can lets it (70 mm asked)."),
    ],
)
def test_a_sketch_laid_smaller_than_asked_is_told(asked, laid, words):
    assert laid_words(asked, laid) == words
