from __future__ import annotations

from preview.job.file import load_job
from preview.look.thickness import thickness_plot
from tests.conftest import DEMOS


def test_the_thickness_is_plotted():
    assert thickness_plot(load_job(DEMOS / "plain_start.toml").ground)[:8] == b"\x89PNG\r\n\x1a\n"
