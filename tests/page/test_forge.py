"""A measured forge that is taken over into the work on the page."""

from __future__ import annotations

import preview
from preview.job.calibration import Settling
from preview.page.session import table_of, use_forge
from tests.conftest import DEMOS


def test_a_measured_can_is_filled_as_it_was_found():
    table = table_of(preview.load_job(DEMOS / "plain_start.toml"))
    settling = Settling(
        fill_density=0.5997, fill_density_error=0.003, along_error=0.01, across_error=0.01, scale_factor_error=0.1
    )
    use_forge(table, preview.Calibration(settling=settling))
    job = preview.make_job({**table, "calibration": None})
    assert job.history.bars[0].density == job.can.fill_density == 0.6
    assert job.settling == settling
