"""Where the bright pattern comes out that is not on the blade, against the flat bar's own picture."""

from __future__ import annotations

import numpy as np

from preview.face.off_blade import off_blade
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.pipeline import face_map, find_origins
from tests.conftest import DEMOS


def test_as_much_lies_off_each_third_as_the_bar_s_face_shows_beyond_the_outline():
    """Where the bar's face shows bright steel outside the outline; within a tenth of all of it."""
    job = load_job(DEMOS / "marsh_moon.toml")
    places, outline, bar = off_blade(find_origins(job), job.bright_powders), job.blade.outline, job.history.bar
    face = face_map(uncut(job), "right", 4.0)
    heel, edge, _ = job.blade.corner(bar)
    along = face.grid.along - bar.length / 2 - heel + 0 * face.grid.across
    across = face.grid.across - bar.width / 2 - edge + 0 * face.grid.along
    bright = (face.share_of(job.bright_powders) > 0.5) & face.grid.mask & ~outline.contains(along, across)
    thirds = [-np.inf, outline.length / 3, 2 * outline.length / 3, np.inf]
    shown, told = (np.histogram(each, thirds)[0] / len(each) for each in (along[bright], places[:, 0]))
    assert np.abs(shown - told).max() < 0.1
    assert told.argmax() == 2
