"""Stairs of cells rounded, against the straight line that they stand for."""

from __future__ import annotations

import numpy as np
import pytest

from preview.pattern.raster import Cells, rounded


@pytest.mark.parametrize("rise", [1 / 2, 1 / 4, 1 / 6])
def test_a_slanting_rim_is_straight_again(rise):
    """Cells on one side of a line of slope ``rise``: their stairs stray half a cell from it, rounded a tenth."""
    row, column = np.mgrid[:120, :80]
    bright = (column - 40 < rise * (row - 60)).astype(np.float32)
    share = rounded(Cells(("dark", "bright"), np.stack([1 - bright, bright]))).shares[1]
    rows = np.arange(20, 100)
    line = 39.5 + rise * (rows - 60)
    last = (share[20:100] > 0.5).sum(axis=1) - 1
    before, after = share[rows, last], share[rows, last + 1]
    rim = last + (before - 0.5) / (before - after)
    assert np.abs(rim - line - np.mean(rim - line)).max() < 0.15
    assert abs(np.mean(rim - line)) < 0.5


def test_a_line_keeps_its_place_and_width():
    bright = np.zeros((40, 60), dtype=np.float32)
    bright[:, 20:26] = 1
    found = rounded(Cells(("dark", "bright"), np.stack([1 - bright, bright])))
    np.testing.assert_allclose(found.shares.sum(axis=0), 1, atol=1e-6)
    row = found.shares[1][20]
    assert row.sum() == pytest.approx(6, abs=0.2)
    assert np.average(np.arange(60), weights=row) == pytest.approx(22.5, abs=0.01)
