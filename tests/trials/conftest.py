from __future__ import annotations

import pytest

from preview.job.file import load_job
from preview.trials.trials import TrialGrinds, try_grinds
from tests.conftest import DEMOS


@pytest.fixture(scope="session")
def job():
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="session")
def heights(job):
    return try_grinds(job, TrialGrinds(heights=(8, 24, 14)), width=500).trials
