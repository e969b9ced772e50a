"""A loose can out of the fire: a square of powder by differences, limits, what goes off the skin is lost."""

from __future__ import annotations

import numpy as np
import pytest

from preview.day.cooling import AIR, EMISSIVITY, KELVIN, ROOM, STEFAN, Piece
from preview.day.loose import LooseCan, conductivity
from preview.forging.bar import Bar
from preview.forging.heating import POWDER_CONDUCTIVITY

CAN = Bar(2000.0, 41.0, 41.0, wall=2.5, density=0.58)
"""Long, so that its ends do not count."""


def by_differences(seconds, cell=0.5, step=0.01):
    """Return skin and mean of the powder (°C) of the can's section, a quarter of it in square cells (mm)."""
    count = round(20.5 / cell)
    at = (np.arange(count) + 0.5) * cell
    wall = np.maximum(*np.meshgrid(at, at)) > 18.0
    conducts, heat = np.where(wall, 27.0, POWDER_CONDUCTIVITY[1]), 650 * 7850 * np.where(wall, 1.0, 0.58)
    side = cell / 1000
    between = 2 / (1 / conducts[:, :-1] + 1 / conducts[:, 1:])  # per mm of face over per mm of way: W/(m K)
    heats = np.full((count, count), 1180.0)
    for _ in range(round(seconds / step)):
        flow = np.zeros_like(heats)
        for turned, grid in ((flow, heats), (flow.T, heats.T)):
            moved = between * np.diff(grid, axis=1)
            turned[:, :-1] += moved
            turned[:, 1:] -= moved
            rim = grid[:, -1]
            turned[:, -1] -= side * (
                EMISSIVITY * STEFAN * ((rim + KELVIN) ** 4 - (ROOM + KELVIN) ** 4) + AIR * (rim - ROOM)
            )
        heats += flow * step / (heat * side**2)
    return heats[wall].mean(), heats[~wall].mean()


def test_a_square_by_differences():
    """By the symmetry of the square, conductances across and along are each other's transpose."""
    skin, powder = by_differences(30.0)
    can = LooseCan.of(CAN.size, CAN, 1180.0)
    assert can.cooled(1180.0, 30.0) == pytest.approx(powder, abs=6)
    assert can.skin(can.cooled(1180.0, 30.0)) == pytest.approx(skin, abs=15)


def test_what_is_lost_goes_off_the_skin():
    can = LooseCan.of(CAN.size, CAN, 1180.0)
    heats, capacities = can.layers, can.boxes.capacities
    skin = heats[:, 0]
    loss = can.boxes.area * (EMISSIVITY * STEFAN * ((skin + KELVIN) ** 4 - (ROOM + KELVIN) ** 4) + AIR * (skin - ROOM))
    lost = (heats[0] - heats[60]) @ capacities
    assert lost == pytest.approx(np.trapezoid(loss[:61], dx=0.5), rel=0.01)


def test_pressed_solid_it_cools_as_a_bar():
    """Of solid steel the skin is little colder than the middle, and it is the bar that is as hot all through."""
    size = (2000.0, 20.0, 10.5)
    solid = LooseCan.of(size, Bar(2000.0, 20.0, 20.0, wall=0.5, density=0.5), 1150.0)
    assert solid.cooled(1150.0, 10.0) == pytest.approx(Piece.of(size).cooled(1150.0, 10.0), abs=10)


def test_its_powder_stays_hot_longer_than_its_skin():
    can = LooseCan.of(CAN.size, CAN, 1180.0)
    assert can.skin(1050.0) < 950
    assert 30 < can.lasts(1180.0, 1050.0) < 60
    flat = LooseCan.of((2000.0, 41.0, 26.0), CAN, 1180.0)
    assert flat.lasts(1180.0, 1050.0) < can.lasts(1180.0, 1050.0)
    assert flat.skin(1050.0) > can.skin(1050.0)


def test_its_weight_stays():
    """Squeezed until its powder is solid, it holds as much heat as before."""
    loose, solid = (LooseCan.of((2000.0, 41.0, high), CAN, 1180.0) for high in (41.0, 5 + 36 * 0.58))
    wall = 4 * 2.5 * (41 + 41 - 2 * 2.5) / 2 - 4 * 2.5 * (41 + 25.88 - 2 * 2.5) / 2  # mm2 of wall less
    assert loose.capacity - solid.capacity == pytest.approx(7850 * 650 * 2 * wall * 1e-6, rel=0.05)


def test_again_in_the_fire():
    can = LooseCan.of(CAN.size, CAN, 1180.0)
    assert can.minutes_again(1180.0, 1180.0) == 0
    assert 0 < can.minutes_again(1120.0, 1180.0) < can.minutes_again(1050.0, 1180.0) < 10


def test_dies_take_some():
    can = LooseCan.of(CAN.size, CAN, 1180.0)
    assert can.cooled(1180.0, 5.0, 2e4, 1.0) < can.cooled(1180.0, 5.0)


def test_conductivity_between_its_ends():
    assert conductivity(0.58, 0.58) == POWDER_CONDUCTIVITY[1]
    assert conductivity(0.58, 1.0) == pytest.approx(27)
    assert POWDER_CONDUCTIVITY[1] < conductivity(0.58, 0.8) < 27
