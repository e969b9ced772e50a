from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from preview.base.pictures import png_bytes


def test_png_prints_at_true_size(tmp_path):
    (tmp_path / "p.png").write_bytes(png_bytes(np.zeros((30, 60, 3), dtype=np.uint8), px_per_mm=20.0))
    with Image.open(tmp_path / "p.png") as picture:
        assert picture.info["dpi"] == pytest.approx((508, 508), abs=0.02)
