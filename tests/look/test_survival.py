from __future__ import annotations

from preview.job.file import load_job
from preview.pipeline import preview
from tests.conftest import DEMOS


def test_which_lines_survive():
    fine, share = preview(load_job(DEMOS / "fine_rain.toml"), px_per_mm=4).survival()
    found = preview(load_job(DEMOS / "fine_rain.toml"), px_per_mm=4).numbers
    assert share > 0.005
    assert max(found.unseen.values()) > 0.01
    orange = (fine[..., 0].astype(int) - fine[..., 2]) > 40
    half = fine.shape[1] // 2
    assert orange[:, half:].sum() > 10 * orange[:, :half].sum()  # lines grow finer towards the tip
    _, share = preview(load_job(DEMOS / "running_wave.toml"), width=200).survival()
    assert share < 1e-4
