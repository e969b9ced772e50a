"""Cooling and heating: closed forms, an integrator, worked examples."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp

from preview.day import cooling
from preview.day.cooling import HOTTER, Piece, minutes_to_heat, taken_by_dies
from preview.forging.heating import SOLID_DENSITY, STEEL_HEAT

SLAB = Piece(SOLID_DENSITY * STEEL_HEAT * 0.0056, 2.0)
"""A square metre of a bar 5.6 mm thick, its edges left out."""


def test_radiation_alone(monkeypatch):
    """C / (3 e s) (1/T1^3 - 1/T0^3), by hand: from 1150 to 950 °C in 21 s."""
    by_hand = SLAB.capacity / (3 * 0.8 * 5.670374e-8 * 2) * (1223.15**-3 - 1423.15**-3)
    assert by_hand == pytest.approx(21, abs=0.2)
    monkeypatch.setattr(cooling, "AIR", 0.0)
    monkeypatch.setattr(cooling, "ROOM", -273.15)
    assert SLAB.cooled(1150, by_hand) == pytest.approx(950, abs=1.5)


def test_plate_on_cold_dies():
    """A sheet of 2.5 mm at 900 °C between dies with 135 W/(m2 K) loses some 20 K in the first second (a published
    worked example, from memory): by hand 135 x 2 x 880 / (7850 x 650 x 0.0025) = 18.6 K.
    """
    plate = SOLID_DENSITY * STEEL_HEAT * 0.0025
    lost = taken_by_dies(900, 2e6, 1.0, conductance=135, dies=20) / plate
    assert lost == pytest.approx(18.6, abs=0.05)
    assert lost == pytest.approx(20, rel=0.1)


def test_a_bar_against_an_integrator():
    bar = Piece.of((200.0, 40.0, 12.0))
    found = solve_ivp(lambda _, heat: [-bar.loss(heat[0]) / bar.capacity], (0, 40), [1150.0], rtol=1e-8)
    assert bar.cooled(1150, 40) == pytest.approx(found.y[0, -1], abs=1.5)


def test_thin_cools_faster_and_heats_faster():
    thick, thin = (200.0, 40.0, 20.0), (200.0, 40.0, 5.0)
    assert Piece.of(thin).cooled(1150, 10) < Piece.of(thick).cooled(1150, 10) < 1150
    assert minutes_to_heat(thin, 900, 1150) < minutes_to_heat(thick, 900, 1150) < minutes_to_heat(thick, 20, 1150)
    assert minutes_to_heat(thin, 1150, 1150) < 0.2


def test_heating_against_an_integrator():
    bar = Piece.of((200.0, 40.0, 12.0))
    fire = (1150 + HOTTER + 273.15) ** 4

    def taken(_, heat):
        return [0.8 * 5.670374e-8 * bar.area * (fire - (heat[0] + 273.15) ** 4) / bar.capacity]

    def hot(_, heat):
        return heat[0] - 1150

    hot.terminal = True
    (seconds,) = solve_ivp(taken, (0, 3600), [20.0], events=hot, rtol=1e-8).t_events[0]
    assert bar.warmed(20, 1150) * 60 == pytest.approx(seconds, abs=3)
