from __future__ import annotations

import numpy as np
import pytest

from preview.job.file import load_job
from preview.look.filmstrip import section_points
from preview.look.section import light_from
from preview.pipeline import find_origins, preview
from tests.conftest import DEMOS


def test_the_filmstrip_shows_every_step(demo):
    strip = preview(demo, width=200).steps()
    assert strip.shape[1] == 1200
    assert strip.min() < 90
    assert (strip == 242).mean() > 0.2


@pytest.mark.slow
def test_the_bright_share_of_a_section_is_that_of_the_can():
    """Sections of a prismatic history hold one share of each powder (conservation of area, dividers along)."""
    job = load_job(DEMOS / "along_the_bar.toml")
    origins = find_origins(job)
    shares = []
    for frame, bar in zip(job.history.frames[:3], job.history.bars[:3], strict=True):
        points = section_points(bar, 0.0)
        can = job.history.between(points, frame, "can")
        metal = job.history.start.contains(*np.moveaxis(np.nan_to_num(can, nan=1e9), -1, 0))
        light = light_from(origins, job.powders, job.etching, *np.moveaxis(np.where(metal[..., None], can, 0.0), -1, 0))
        shares.append((metal & (light > 0.3)).sum() / metal.sum())
    # what of the dark shell bulges beyond the picture is cut off
    assert shares[2] == pytest.approx(shares[1], rel=0.05)
