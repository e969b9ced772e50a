"""Numbers on the flat drawings: none over another, each beside its own wall or in its own room."""

from __future__ import annotations

import pytest
from shapely import Point
from shapely.geometry import box

from preview.filling.part_numbers import DIGIT, part_numbers, room_numbers


def place_of(number):
    (x, y), wide = number.at, DIGIT[0] * len(number.text) * number.height
    return box(x, y, x + wide, y + DIGIT[1] * number.height)


def test_numbers_of_walls_that_lie_close_keep_clear_of_walls_and_of_each_other():
    walls = tuple(box(left, -10, left + 0.4, 10) for left in (-9.0, -8.0, -4.0, -3.0, 2.0, 3.0, 8.0, 9.0))
    found = part_numbers(walls, (30.0, 20.0))
    assert [number.text for number in found] == ["1", "2", "3", "4", "5", "6", "7", "8"]
    places = [place_of(number) for number in found]
    for k, place in enumerate(places):
        assert place.within(box(-15, -10, 15, 10))
        assert not any(place.intersects(wall) for wall in walls)
        assert not any(place.intersects(other) for other in places[:k])
        assert place.distance(walls[k]) == pytest.approx(0.15)


def test_a_part_with_no_place_left_has_no_number():
    walls = tuple(box(-0.5, 0.5 * k, 0.5, 0.5 * k + 0.4) for k in range(20))
    found = part_numbers(walls, (4.0, 20.0))
    places = [place_of(number) for number in found]
    assert 4 < len(found) < 20
    assert not any(one.intersects(other) for k, one in enumerate(places) for other in places[:k])


def test_a_rooms_number_stands_in_it_however_small_it_is():
    rooms = [Point(0, 0).buffer(0.4), box(5, -0.3, 25, 0.3), box(-20, -10, -5, 10)]
    for room, number in zip(rooms, room_numbers(rooms), strict=True):
        assert room.buffer(0.01).contains(place_of(number))
    assert room_numbers(rooms)[2].height == 1.5
    assert place_of(room_numbers(rooms)[0]).area <= 2 * 0.4**2  # the largest oblong in that disc is a square
