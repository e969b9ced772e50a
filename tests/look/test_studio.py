"""The studio's tables against closed forms, brute force, and the law that an even studio shows the calibrated tones."""

from __future__ import annotations

import numpy as np
import pytest

from preview.look.etch import Etch, lightness_of, luminance
from preview.look.light import Light
from preview.look.still import CELLS, cell_middles, cells_of, from_aside, still_table
from preview.look.studio import (
    REACH,
    SMALL,
    apart_scatter,
    blurred,
    directions,
    finish_of,
    make_tables,
    matt_of,
    plane,
    radiance,
    read,
    room_of,
)

FINISHES = ("satin", "hand-rubbed along", "hand-rubbed across", "polished")


def test_a_facet_mirrors_the_place_of_its_slopes():
    """Mirror law r = 2 (n.v) n - v for v straight on: r's stereographic coordinates are minus the facet's slopes."""
    rng = np.random.default_rng(2)
    p, q = rng.uniform(-1.5, 1.5, (2, 100))
    normal = np.stack([-p, -q, np.ones(100)]) / np.sqrt(1 + p * p + q * q)
    mirrored = 2 * normal[2] * normal - np.array([[0], [0], [1]])
    np.testing.assert_allclose(directions(-p, -q), mirrored, atol=1e-12)


def test_a_steep_facet_seen_from_aside_mirrors_its_place():
    """Mirror law r = 2 (n.v) n - v; a level facet mirrors (-v.right, -v.up, v.towards)."""
    rng = np.random.default_rng(3)
    slopes, beside = rng.uniform(-1, 1, (2, 100)), rng.uniform(-0.3, 0.3, (2, 100))
    normal, view = (np.stack([*each, np.ones(100)]) for each in (-slopes, -beside))
    normal, view = (each / np.linalg.norm(each, axis=0) for each in (normal, view))
    level = -view[:2] / (1 + view[2])
    found = from_aside(-slopes[0] - 1j * slopes[1], level[0] + 1j * level[1])
    mirrored = 2 * (normal * view).sum(axis=0) * normal - view
    np.testing.assert_allclose(directions(found.real, found.imag), mirrored, atol=1e-12)


def test_a_table_is_read_where_its_cells_are():
    right, up = plane(SMALL, REACH)
    assert right[0, 0] == up[0, 0] == pytest.approx(-REACH * (1 - 1 / SMALL))
    np.testing.assert_allclose(read(3 * right - up, right, up), 3 * right - up, atol=2e-3 * REACH)


def test_blur_of_a_wave_is_its_closed_form():
    """A Gaussian of deviation s takes a wave of number k down by exp(-(k s)^2 / 2)."""
    right, up = plane(256, REACH)
    k, scatter = 9.0, (0.05, 0.13)
    for wave, each in ((np.cos(k * right), scatter[0]), (np.cos(k * up), scatter[1])):
        seen = blurred(wave, scatter, REACH)[100:156, 100:156]
        np.testing.assert_allclose(seen, wave[100:156, 100:156] * np.exp(-((k * each) ** 2) / 2), atol=2e-3)


def test_matt_is_the_cosine_weighted_mean():
    """Against a sum over random directions; a card square to the viewer sends back 1: the unit."""
    rng = np.random.default_rng(0)
    coming = rng.standard_normal((3, 200_000))
    coming /= np.linalg.norm(coming, axis=0)
    c = coming[:2] / np.maximum(1 + coming[2], 1e-3)
    lit = read(room_of("soft box"), *c)
    for normal in ([0, 0, 1], [0, 0.5, 1], [-0.6, -0.3, 1]):
        n = np.array(normal) / np.linalg.norm(normal)
        weight = np.maximum(n @ coming, 0)
        place = n[:2] / (1 + n[2])
        found = read(matt_of("soft box"), place[:1], place[1:])[0]
        assert found == pytest.approx(float(weight @ lit / weight.sum()), rel=0.02)
    assert read(matt_of("soft box"), np.zeros(1), np.zeros(1))[0] == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize("finish", FINISHES)
@pytest.mark.parametrize("held", [{}, {"tilt": 20, "turn": -15}, {"azimuth": 200, "elevation": 25}])
def test_an_even_studio_shows_the_calibrated_lightness(finish, held):
    """Both steels come out at their L*, in every finish, however the blade is held and wherever the light stands."""
    etch = Etch(bright=75, dark=30)
    table = still_table(Light(studio="even", finish=finish, **held), etch, mirrored=False)
    np.testing.assert_allclose(lightness_of(table.bright), 75, atol=1e-3)
    np.testing.assert_allclose(lightness_of(table.bright + table.more), 30, atol=1e-3)
    np.testing.assert_allclose(lightness_of(table.keen), 75, atol=1e-3)
    tables = make_tables(Light(studio="even", finish=finish))
    for each in (tables.core, tables.gloss, tables.matt):
        np.testing.assert_allclose(each, 1, atol=1e-6)
    assert tables.weights.sum() == pytest.approx(1)


def brute(light: Light, p: float, q: float, more: tuple[float, float]) -> float:
    """Return what a facet's surroundings of Gaussian slopes send back, each facet's mirror direction worked out.

    They scatter by so much more along and across as a wide cell of the table is blurred.
    """
    finish = finish_of(light)
    x = np.linspace(-4, 4, 161)
    weight = np.exp(-x * x / 2)[:, None] * np.exp(-x * x / 2)[None, :]
    slopes = p + np.hypot(finish.along, more[0]) * x[None, :], q + np.hypot(finish.across, more[1]) * x[:, None]
    facet = np.stack(np.broadcast_arrays(-slopes[0], -slopes[1], 1.0))
    facet = np.tensordot(light.held(mirrored=False), facet, axes=1)
    facet /= np.linalg.norm(facet, axis=0)
    coming = np.tensordot(light.to_studio, 2 * facet[2] * facet - np.array([0, 0, 1.0])[:, None, None], axes=1)
    unit = room_of("soft box")[128, 128] / radiance(*directions(*(each[128, 128] for each in plane(256, REACH))))
    return float((weight * radiance(*coming)).sum() / weight.sum() * unit)


@pytest.mark.parametrize("held", [{}, {"tilt": 15}, {"turn": -12}, {"azimuth": 30, "elevation": 50}])
@pytest.mark.parametrize("finish", FINISHES)
def test_the_still_table_against_brute_force(held, finish):
    light, etch = Light(finish=finish, **held), Etch()
    table = still_table(light, etch, mirrored=False).bright / float(luminance(etch.bright))
    slopes = np.array([(0.0, 0.0), (0.05, 0.1), (-0.04, -0.12), (0.0, 0.3), (0.1, -0.25)], dtype=np.float32)
    cells = cells_of(*-slopes.T)
    at, more = np.array(cell_middles()), apart_scatter(cell_middles())
    places = [[cell % CELLS, cell // CELLS] for cell in cells.tolist()]
    off = [table[cell] - brute(light, *-at[place], more[place]) for cell, place in zip(cells, places, strict=True)]
    assert np.abs(off).max() < 0.05  # of the card's light: in the bright steel some 4 grey levels


def test_coordinates_fall_into_the_cells_whose_middles_they_are():
    at = np.array(cell_middles(), dtype=np.float32)
    up, right = (each.astype(np.float32) for each in np.meshgrid(at, at, indexing="ij"))
    np.testing.assert_array_equal(cells_of(right, up).ravel(), np.arange(CELLS * CELLS))
    far = np.array([-9, 9], dtype=np.float32)
    assert cells_of(far, far.copy()).tolist() == [0, CELLS * CELLS - 1]


def test_nine_facets_are_the_whole_scatter():
    """What a shader adds up from the narrow table, straight on, is the finish's own blur."""
    light = Light()
    tables, finish = make_tables(light), finish_of(light)
    whole = blurred(room_of("soft box"), (finish.along, finish.across), REACH)
    q = np.linspace(-0.35, 0.35, 41)
    taps = sum(w * read(tables.core, 0 * q, q + s) for w, s in zip(tables.weights, tables.steps, strict=True))
    np.testing.assert_allclose(taps, read(whole, 0 * q, q), atol=0.03)


def test_a_finer_grit_blurs_less():
    coarse, fine = (finish_of(Light(grit=grit)) for grit in (120, 1500))
    assert fine.across < coarse.across
    assert fine.scratches < coarse.scratches
    across, along = (finish_of(Light(finish=f"hand-rubbed {way}")) for way in ("across", "along"))
    assert across.along > across.across
    assert along.across > along.along
