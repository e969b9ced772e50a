"""Points that are shown by hand: what is clicked on the part of the photograph that is shown is a pixel of its file."""

from __future__ import annotations

import numpy as np
import pytest

from preview.page.matching_marks import Face, part_round


def test_a_click_on_the_part_that_is_shown_is_a_pixel_of_the_file():
    """Worked by hand: corners 0.2 to 0.6 and 0.4 to 0.5 have room of 0.02 each side, and of 0.02 above and below."""
    part = part_round(((0.2, 0.4), (0.6, 0.4), (0.6, 0.5), (0.2, 0.5)))
    assert part == pytest.approx((0.18, 0.38, 0.62, 0.52))
    face = Face(None, "right", b"", (4000, 3000), part)
    assert face.pixel_at(0, 0) == pytest.approx((720, 1140))
    assert face.pixel_at(0.5, 0.5) == pytest.approx((1600, 1350))
    assert np.allclose(face.shares_of(face.pixel_at(0.3, 0.8)), (0.3, 0.8))
    assert part_round(((0.5, 0.5),) * 4) == (0, 0, 1, 1)
