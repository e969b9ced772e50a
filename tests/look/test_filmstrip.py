from __future__ import annotations

import pytest

from preview.job.file import load_job
from preview.look.closer import step_pictures
from tests.conftest import DEMOS


def test_the_filmstrip_shows_every_step(demo):
    strip = step_pictures(demo)
    assert strip.shape[1] == 1200
    assert strip.min() < 90
    assert (strip == 242).mean() > 0.2


def test_the_bright_share_of_a_section_is_that_of_the_can():
    """Sections of a prismatic history hold one share of each powder (conservation of area, dividers along)."""
    from preview.face.composition import Ground
    from preview.look.filmstrip import _section
    from preview.pipeline import ground_of, raster_of

    job = load_job(DEMOS / "along_the_bar.toml")
    ground: Ground = ground_of(job)
    shares = []
    for frame, bar in zip(job.history.frames[:3], job.history.bars[:3], strict=True):
        picture = _section(job, ground, raster_of(job).classes, frame, bar.width, bar.thickness, 0.0)
        shares.append((picture > 150).sum() / (picture < 240).sum() * bar.width * bar.thickness / (7 * 7))
    mean = [share / (bar.width * bar.thickness) for share, bar in zip(shares, job.history.bars[:3], strict=True)]
    assert mean[2] == pytest.approx(mean[1], rel=0.03)
