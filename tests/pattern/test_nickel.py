"""Diffusion against published values and closed forms (Crank, The Mathematics of Diffusion, ch. 2)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import erf

from preview.forging.bar import Can
from preview.forging.history import History
from preview.forging.steps import Consolidate, Press
from preview.forging.steps.base import Heat
from preview.pattern.nickel import diffusivity, mottle, read_mottle, soften, softening
from preview.pattern.pattern import DIRECTIONS
from preview.pattern.raster import Cells, Raster


@pytest.mark.parametrize(
    ("temperature", "value"), [(1100, 1.65e-15), (1150, 3.90e-15), (1200, 8.73e-15), (1250, 1.85e-14)]
)
def test_diffusivity(temperature, value):
    """MacEwan, MacEwan & Yaffe, Can. J. Chem. 37 (1959) 1629 (D0 and Q from memory), worked out by hand."""
    assert diffusivity(temperature) == pytest.approx(value, rel=0.01)


def test_same_order_as_measured_iron_in_austenite():
    """Million et al., Z. Metallkd. 84 (1993) 687: iron at 1150 C 2.48e-15 m2/s; nickel moves about alike."""
    assert 0.6 < diffusivity(1150) / 2.48e-15 < 1.7


def profile(values: np.ndarray, cell: float, variance: float) -> np.ndarray:
    shares = np.stack([1 - values, values])[:, None, :].repeat(40, axis=1).astype(np.float32)
    raster = Raster(Cells(("a", "b"), shares), (cell, cell), 0.0, ())
    return soften(raster, np.eye(3) * variance, DIRECTIONS["through"]).shares[1, 20].astype(float)


def test_step_softens_to_the_error_function():
    cell, root = 0.002, 0.02  # mm; root is sqrt(D t)
    x = (np.arange(800) - 399.5) * cell
    found = profile((x > 0).astype(float), cell, 2 * root**2)
    np.testing.assert_allclose(found, 0.5 * (1 + erf(x / (2 * root))), atol=2e-3)
    ten, ninety = np.interp([0.1, 0.9], found, x)
    assert ninety - ten == pytest.approx(3.62478 * root, rel=2e-3)


@pytest.mark.parametrize(("width", "left"), [(0.010, 0.6544), (0.020, 0.9408), (0.050, 1.0000)])
def test_slab_keeps_its_middle(width, left):
    """A slab after an hour at 1150 C, c/c0 = (erf((a/2 - x)/2s) + erf((a/2 + x)/2s)) / 2, s = sqrt(D t)."""
    variance = 2 * diffusivity(1150) * 3600 * 1e6
    cell = 0.0002
    x = (np.arange(2001) - 1000) * cell
    slab = (np.abs(x) < width / 2 - cell / 4) + 0.5 * (np.abs(np.abs(x) - width / 2) < cell / 4)
    found = profile(slab, cell, variance)
    assert found[1000] == pytest.approx(left, abs=1e-3)


def test_heat_before_the_press_counts_stretched():
    """A heat met by the bar when it is already pressed adds F^-1 F^-T: squeezed bars even out across layers sooner."""
    heat = Heat(temperature=1150, minutes=60)
    can = Can(length=80, width=40, height=50, wall=0, fill_density=0.6)
    early = History(can.bar(), (Consolidate(heat=heat),))
    assert softening(early) == pytest.approx(np.eye(3) * 2 * diffusivity(1150) * 3600 * 1e6, rel=1e-5)
    late = History(can.bar(), (Consolidate(), Press(height=10, spread=0.0, friction=0.0, heat=heat)))
    assert softening(late).diagonal() == pytest.approx(
        2 * diffusivity(1150) * 3600 * 1e6 * np.array([1, 1, 1 / 0.6**2]), rel=1e-5
    )


def test_softening_is_micrometres():
    found = History(Can().bar(), (Consolidate(heat=Heat(temperature=1200, minutes=60)),))
    assert np.sqrt(softening(found)[0, 0]) * 1000 == pytest.approx(np.sqrt(2) * 5.60, rel=0.01)


def test_mottle_is_seeded_even_and_pales_with_heat():
    zero = ((0.0,) * 3,) * 3
    fresh = mottle(3, 0.1, zero)
    assert (fresh == mottle.__wrapped__(3, 0.1, zero)).all()
    assert not (fresh == mottle(4, 0.1, zero)).all()
    assert fresh.mean() == pytest.approx(128, abs=0.5)
    assert fresh.std() * 3 / 127 == pytest.approx(1.0, abs=0.02)
    hot = mottle(3, 0.1, tuple(map(tuple, (np.eye(3) * 0.05**2).tolist())))
    assert 0.1 < hot.std() / fresh.std() < 0.6


def test_mottle_reads_its_own_voxels_and_repeats():
    texture = mottle(3, 0.1, ((0.0,) * 3,) * 3)
    i, j, k = np.array([5, 100]), np.array([60, 3]), np.array([0, 63])
    points = [((index + 0.5) * 0.04).astype(np.float32) for index in (i, j, k)]
    assert (read_mottle(texture, 0.1, *points) == texture[i, j, k]).all()
    again = [p - np.float32(n * 0.04) for p, n in zip(points, texture.shape, strict=True)]
    assert (read_mottle(texture, 0.1, *again) == texture[i, j, k]).all()
