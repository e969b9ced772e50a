"""Numbers on a picture stand where they are put, on the part that is shown."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from preview.base.pictures import jpeg_bytes
from preview.look.numbered import MARK, numbered


def test_a_number_stands_at_its_place_of_the_part_that_is_shown():
    """Worked by hand: of 800 x 400 px the right lower quarter is 400 x 200, and a quarter of that way in is 100, 50."""
    grey = jpeg_bytes(np.full((400, 800, 3), 90, np.uint8))
    shown = np.asarray(Image.open(io.BytesIO(numbered(grey, [(0.25, 0.25)], (0.5, 0.5, 1.0, 1.0)))), dtype=int)
    assert shown.shape == (200, 400, 3)
    rows, columns = np.nonzero(np.abs(shown - MARK).max(axis=2) < 60)
    ring = columns < 110
    assert (rows[ring].min() + rows[ring].max()) / 2 == 50
    assert (columns[ring].min() + columns[ring].max()) / 2 == pytest.approx(100, abs=0.5)  # by JPEG
