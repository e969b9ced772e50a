"""Where the columns of the can come out on the ground face."""

from __future__ import annotations

import numpy as np

from preview.face.columns import meet
from preview.job.file import load_job
from preview.pipeline import find_origins, trace
from tests.conftest import DEMOS


def test_columns_meet_the_face_where_the_direct_map_says():
    job = load_job(DEMOS / "running_wave.toml")
    x, y = np.meshgrid(np.linspace(-20, 20, 41), np.linspace(-8, 8, 17))
    for side, sign in (("right", 1), ("left", -1)):
        met = meet(find_origins(job), side, x, y)
        on = met.on_blade
        assert on.sum() > 200
        along, across = met.along[on], met.across[on]
        stand = job.ground.stand(side, along, across)
        can = trace(job, np.stack([along, across, sign * stand], axis=1))
        assert np.abs(can[:, 0] - x[on]).max() < 0.006
        assert np.abs(can[:, 1] - y[on]).max() < 0.006
        assert np.abs(can[:, 2] - met.up[on]).max() < 0.03


def test_a_column_that_comes_out_in_the_shell_is_not_on_the_blade(make):
    """All the wall left on: the unground flat stands in it, 10 mm up where the fill ends at 9."""
    job = make(
        forging=[{"step": "consolidate"}],
        can={"length": 120, "width": 50, "height": 30, "wall": 2, "fill_density": 0.6},
        blade={"thickness": 20, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"edge": 0.5, "right": {"height": 20}},
    )
    x, y = np.meshgrid(np.linspace(-40, 20, 31), np.linspace(-18, 15, 34))
    met = meet(find_origins(job), "right", x, y)
    # the bevel rises by 9.75 mm over 20 mm, so it passes 9 mm at 17.95 mm over the edge, which lies at -20
    high = y > -20 + 17.95
    assert np.isfinite(met.up).all()
    np.testing.assert_array_equal(met.on_blade, ~high)
    assert (met.up[high] > 15).all()
