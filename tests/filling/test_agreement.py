from __future__ import annotations

import numpy as np
import pytest

from preview.filling.agreement import agree


def test_agreement_of_known_shapes():
    wanted = np.zeros((100, 200))
    wanted[:, 50:100] = 1
    shown = np.roll(wanted, 5, axis=1)  # half a millimetre at 10 px/mm
    found = agree(wanted, shown, np.ones(wanted.shape, dtype=bool), 10.0)
    assert found.overlap == pytest.approx(45 / 55)
    assert found.line_error == pytest.approx(0.5)
    assert found.wanted_bright == pytest.approx(50.0)
    dark = agree(0 * wanted, 0 * wanted, np.ones(wanted.shape, dtype=bool), 10.0)
    assert dark.overlap == 1
    assert dark.line_error is None


def test_a_line_that_is_off_on_a_tenth_of_its_length():
    """A millimetre off: 95 in 100 of the line's points do not keep within half of it, though most are right."""
    wanted = np.zeros((100, 200))
    wanted[:, 50:100] = 1
    shown = wanted.copy()
    shown[:10] = np.roll(shown[:10], 10, axis=1)
    found = agree(wanted, shown, np.ones(wanted.shape, dtype=bool), 10.0)
    assert 0.5 < found.line_error_95 <= 1.0
    assert found.line_error < 0.5
