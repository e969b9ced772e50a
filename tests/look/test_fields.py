from __future__ import annotations

import numpy as np
import pytest

from preview.look.etch import luminance
from preview.pipeline import fields


def test_picture_and_numbers_come_from_the_same_arrays(make):
    """Tone in ``fields`` is the etched lightness of each powder, mixed in its share."""
    job = make(powders=[
        {"name": "plain", "colours": ["black"], "nickel": 0.1},
        {"name": "bright", "colours": ["white"], "nickel": 4.0},
    ])  # fmt: skip
    found = fields(job, px_per_mm=4)
    for index, nickel in ((0, 0.1), (1, 4.0)):
        tone = found["right_tone"][(found["right_powder"] == index) & found["right_mask"]]
        assert np.median(tone) == pytest.approx(float(luminance(job.etch.lightness(nickel))), rel=1e-5)
    lengths = np.linalg.norm(found["right_normal"], axis=-1)
    assert lengths == pytest.approx(np.ones_like(lengths))
    assert (found["right_normal"][..., 2] > 0).all()
    assert (found["left_normal"][..., 2] < 0).all()
